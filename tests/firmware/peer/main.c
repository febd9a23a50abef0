// SPDX-License-Identifier: MIT
//
// peer: runs the finished board image in a simulator, does to its pins what a script says, and leads
// its serial port to a file, a pseudo terminal or a TCP port.
#include <getopt.h>
#include <simavr/avr_eeprom.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "chip.h"
#include "link.h"
#include "script.h"
#include "waves.h"

static const char usage[] =
    "peer [options] waytell_board.elf\n"
    "  --script FILE   commands (default: standard input)\n"
    "  --uart FILE     serial output to a file, as fast as the simulator runs\n"
    "  --pty           serial port as a pseudo terminal; prints 'port PATH'\n"
    "  --tcp PORT      serial port as TCP on 127.0.0.1 (0: any); prints 'port 127.0.0.1:N'\n"
    "  --pace          keep to real time\n"
    "  --live          go on after the last command, until 'end'\n"
    "  --eeprom FILE   EEPROM contents, read before and written after the run\n"
    "  --seed N        for jitter\n";

static struct {
    const char *script, *eeprom;
    bool pace, live;
} options = {.script = "-"};

static double seconds_of_wall(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void keep_pace(double started) {
    double ahead = (double)chip.avr->cycle / CHIP_HZ - (seconds_of_wall() - started);
    if (ahead < 0.001) return;
    struct timespec rest = {(time_t)ahead, (long)((ahead - (double)(time_t)ahead) * 1e9)};
    nanosleep(&rest, NULL);
}

static void move_eeprom(bool save) {
    uint8_t bytes[1024];
    avr_eeprom_desc_t all = {bytes, 0, sizeof bytes};
    FILE *file = options.eeprom ? fopen(options.eeprom, save ? "wb" : "rb") : NULL;
    if (!file) return;
    if (save) {
        avr_ioctl(chip.avr, AVR_IOCTL_EEPROM_GET, &all);
        fwrite(bytes, 1, sizeof bytes, file);
    } else if (fread(bytes, 1, sizeof bytes, file) == sizeof bytes) {
        avr_ioctl(chip.avr, AVR_IOCTL_EEPROM_SET, &all);
    }
    fclose(file);
}

static void print_stats(double started) {
    const struct chip_stats *s = &chip.stats;
    printf("stats {\"seconds\": %.6f, \"wall_s\": %.3f, \"samples\": %llu, \"isr_cycles_least\": %u, "
           "\"isr_cycles_most\": %u, \"isr_load\": %.4f, \"sample_gap_most\": %u, \"bytes_out\": %llu, "
           "\"bytes_in\": %llu, \"overruns\": %llu}\n",
           (double)chip.avr->cycle / CHIP_HZ, seconds_of_wall() - started, (unsigned long long)s->samples,
           s->shortest_cycles, s->longest_cycles, (double)s->busy_cycles / (double)chip.avr->cycle, s->widest_gap,
           (unsigned long long)s->bytes_out, (unsigned long long)s->bytes_in, (unsigned long long)s->overruns);
}

static void run(void) {
    double started = seconds_of_wall();
    uint64_t served = 0;
    while (script_advance() && chip_run()) {
        if (chip.avr->cycle - served < 500 * CYCLES_PER_US) continue;
        served = chip.avr->cycle;
        link_serve();
        if (options.pace) keep_pace(started);
    }
    print_stats(started);
}

static void read_options(int count, char **values) {
    static const struct option known[] = {
        {"script", 1, 0, 's'}, {"uart", 1, 0, 'u'},   {"pty", 0, 0, 'p'},  {"tcp", 1, 0, 't'}, {"pace", 0, 0, 'r'},
        {"live", 0, 0, 'l'},   {"eeprom", 1, 0, 'e'}, {"seed", 1, 0, 'n'}, {0, 0, 0, 0},
    };
    int option;
    while ((option = getopt_long(count, values, "", known, NULL)) != -1) {
        switch (option) {
            case 's': options.script = optarg; break;
            case 'u': link_open_file(optarg); break;
            case 'p': link_open_pty(); break;
            case 't': link_listen(atoi(optarg)); break;
            case 'r': options.pace = true; break;
            case 'l': options.live = true; break;
            case 'e': options.eeprom = optarg; break;
            case 'n': waves_seed(strtoull(optarg, NULL, 0)); break;
            default: fputs(usage, stderr); exit(2);
        }
    }
}

int main(int count, char **values) {
    read_options(count, values);
    if (optind != count - 1) {
        fputs(usage, stderr);
        return 2;
    }
    chip_load(values[optind]);
    chip.on_byte = link_put;
    move_eeprom(false);
    link_set_patient(!options.pace);
    script_open(options.script, options.live);
    run();
    move_eeprom(true);
    link_close();
    return 0;
}
