/** The one name of the vendored uPlot that this project uses; what it draws with is checked by looking. */
declare const uPlot: new (...inputs: any[]) => { destroy(): void };
