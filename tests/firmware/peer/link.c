// SPDX-License-Identifier: MIT
#define _GNU_SOURCE
#include "link.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include "chip.h"

static FILE *file;
static int stream = -1;    // pty master or TCP client
static int listener = -1;
static bool is_patient;
static uint8_t waiting[4096];
static size_t waiting_length;

static void fail(const char *what) {
    perror(what);
    exit(2);
}

void link_set_patient(bool patient) {
    is_patient = patient;
}

void link_open_file(const char *path) {
    file = strcmp(path, "-") == 0 ? stdout : fopen(path, "w");
    if (!file) fail(path);
}

// The far end is kept open here as well, or reads would fail until somebody opens it.
void link_open_pty(void) {
    stream = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    if (stream < 0 || grantpt(stream) || unlockpt(stream)) fail("pty");
    int far_end = open(ptsname(stream), O_RDWR | O_NOCTTY);
    struct termios mode;
    if (far_end < 0 || tcgetattr(far_end, &mode)) fail("pty");
    cfmakeraw(&mode);
    tcsetattr(far_end, TCSANOW, &mode);
    printf("port %s\n", ptsname(stream));
    fflush(stdout);
}

void link_listen(int port) {
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t length = sizeof address;
    int yes = 1;
    // A reader that has gone is told by write(), not by a signal that ends the peer.
    signal(SIGPIPE, SIG_IGN);
    listener = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK, 0);
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    if (bind(listener, (struct sockaddr *)&address, length) || listen(listener, 1)) fail("listen");
    getsockname(listener, (struct sockaddr *)&address, &length);
    printf("port 127.0.0.1:%d\n", ntohs(address.sin_port));
    fflush(stdout);
}

bool link_has_reader(void) {
    return stream >= 0 || listener < 0;
}

static void lose_client(void) {
    if (listener < 0) return;
    close(stream);
    stream = -1;
    waiting_length = 0;
}

static void accept_client(void) {
    if (listener < 0 || stream >= 0) return;
    int yes = 1;
    stream = accept4(listener, NULL, NULL, SOCK_NONBLOCK);
    if (stream >= 0) setsockopt(stream, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes);
}

static void push_out(void) {
    while (stream >= 0 && waiting_length) {
        ssize_t sent = write(stream, waiting, waiting_length);
        if (sent > 0) {
            memmove(waiting, waiting + sent, waiting_length - (size_t)sent);
            waiting_length -= (size_t)sent;
        } else if (errno != EAGAIN && errno != EINTR) {
            lose_client();
        } else if (is_patient && waiting_length > sizeof waiting / 2) {
            poll(&(struct pollfd){stream, POLLOUT, 0}, 1, 100);
        } else {
            return;
        }
    }
}

// A serial line does not wait: what a paced run cannot deliver is lost, oldest first.
void link_put(uint8_t byte) {
    if (file) {
        putc(byte, file);
        return;
    }
    if (stream < 0) return;
    if (waiting_length == sizeof waiting) push_out();
    if (waiting_length == sizeof waiting) memmove(waiting, waiting + 1, --waiting_length);
    waiting[waiting_length++] = byte;
}

static void pull_in(void) {
    uint8_t bytes[256];
    ssize_t length = stream < 0 ? -1 : read(stream, bytes, sizeof bytes);
    if (length > 0) chip_send(bytes, (size_t)length);
    if (length == 0 && stream >= 0) lose_client();
}

void link_serve(void) {
    accept_client();
    push_out();
    pull_in();
}

void link_close(void) {
    if (file && file != stdout) fclose(file);
    is_patient = stream >= 0;
    push_out();
    if (stream >= 0) close(stream);
    if (listener >= 0) close(listener);
}
