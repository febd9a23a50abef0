"""What several test folders share: a running Waytell, a browser, a client."""
