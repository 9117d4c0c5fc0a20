// SPDX-License-Identifier: Apache-2.0
// Runs saved inputs through a fuzz target without the fuzzer. usage: replay-NAME FILE|FOLDER...
// Folders are read in order of name, not deeper. A target that does not like an input ends the
// program itself.
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void fail(const char *path) {
    perror(path);
    exit(74);
}

static void replay_file(const char *path, const struct stat *st) {
    FILE *f = fopen(path, "rb");
    if (!f) fail(path);
    size_t size = (size_t)st->st_size;
    uint8_t *bytes = malloc(size ? size : 1); // exactly so large, so that an overrun is seen
    if (!bytes || fread(bytes, 1, size, f) != size) fail(path);
    fclose(f);
    (void)LLVMFuzzerTestOneInput(bytes, size);
    free(bytes);
}

static int not_hidden(const struct dirent *e) {
    return e->d_name[0] != '.';
}

static int replay(const char *path) {
    struct stat st;
    if (stat(path, &st) != 0) fail(path);
    if (!S_ISDIR(st.st_mode)) {
        replay_file(path, &st);
        return 1;
    }
    struct dirent **entries;
    int n = scandir(path, &entries, not_hidden, alphasort), count = 0;
    if (n < 0) fail(path);
    for (int i = 0; i < n; i++) {
        char inside[4096];
        int length = snprintf(inside, sizeof inside, "%s/%s", path, entries[i]->d_name);
        if (length < 0 || (size_t)length >= sizeof inside) fail(path);
        if (stat(inside, &st) == 0 && S_ISREG(st.st_mode)) {
            replay_file(inside, &st);
            count++;
        }
        free(entries[i]);
    }
    free(entries);
    return count;
}

int main(int argc, char **argv) {
    int count = 0;
    for (int i = 1; i < argc; i++)
        count += replay(argv[i]);
    printf("%d inputs replayed\n", count);
    if (count == 0) {
        fputs("no inputs: nothing was tested\n", stderr);
        return 1;
    }
    return 0;
}
