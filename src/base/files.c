// SPDX-License-Identifier: Apache-2.0
// Whole files and folders.
#include "base/base.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct kw_place in_file(const char *path) {
    return (struct kw_place){.file = path};
}

static enum kw_status fail_io(struct kw_error *err, const char *path, const char *what) {
    return kw_fail(err, KW_IO, in_file(path), "%s: %s", what, strerror(errno));
}

enum kw_status kw_read_file(struct kw_arena *a, const char *path, size_t most, struct kw_place from,
                            char **bytes, size_t *length, struct kw_error *err) {
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK); // a FIFO must not hang us
    if (fd < 0 && (errno == ENOENT || errno == ENOTDIR)) {
        if (from.file) return kw_fail(err, KW_MISSING, from, "no such file: \"%s\"", path);
        return kw_fail(err, KW_MISSING, in_file(path), "no such file");
    }
    if (fd < 0) return fail_io(err, path, "can't open");
    struct stat st;
    enum kw_status s = KW_OK;
    if (fstat(fd, &st) != 0) {
        s = fail_io(err, path, "can't read");
    } else if (!S_ISREG(st.st_mode)) {
        s = kw_fail(err, KW_FORMAT, in_file(path), "expected a file, got something else");
    } else if ((unsigned long long)st.st_size > most) {
        s = kw_fail(err, KW_LIMIT, in_file(path), "expected at most %zu bytes, got %lld", most,
                    (long long)st.st_size);
    }
    if (s != KW_OK) {
        close(fd);
        return s;
    }
    size_t size = (size_t)st.st_size, got = 0;
    char *p = kw_alloc(a, size + 1);
    while (got < size) {
        ssize_t n = read(fd, p + got, size - got);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) s = fail_io(err, path, "can't read");
        if (n <= 0) break;
        got += (size_t)n;
    }
    close(fd);
    *bytes = p;
    *length = got;
    return s;
}

enum kw_status kw_write_file(const char *path, const void *bytes, size_t length,
                             struct kw_error *err) {
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (fd < 0) return fail_io(err, path, "can't write");
    const char *p = bytes;
    for (size_t done = 0; done < length;) {
        ssize_t n = write(fd, p + done, length - done);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) {
            fail_io(err, path, "can't write");
            close(fd);
            return KW_IO;
        }
        done += (size_t)n;
    }
    if (fsync(fd) != 0 && errno != EINVAL && errno != EROFS) {
        fail_io(err, path, "can't write");
        close(fd);
        return KW_IO;
    }
    return close(fd) == 0 ? KW_OK : fail_io(err, path, "can't write");
}

enum kw_status kw_make_folder(const char *path, struct kw_error *err) {
    char part[4096];
    size_t n = strlen(path);
    if (n == 0 || n >= sizeof part) {
        return kw_fail(err, KW_IO, in_file(path), "can't make the folder: the name is too long");
    }
    for (size_t i = 1; i <= n; i++) {
        if (path[i] != '/' && path[i] != 0) continue;
        memcpy(part, path, i);
        part[i] = 0;
        if (mkdir(part, 0777) != 0 && errno != EEXIST)
            return fail_io(err, part, "can't make the folder");
    }
    struct stat st;
    if (stat(path, &st) == 0 && S_ISDIR(st.st_mode)) return KW_OK;
    return kw_fail(err, KW_IO, in_file(path), "expected a folder, got a file");
}

static int remove_one(const char *path, const struct stat *st, int type, struct FTW *walk) {
    (void)st, (void)type, (void)walk;
    return remove(path);
}

enum kw_status kw_remove_folder(const char *path, struct kw_error *err) {
    struct stat st;
    if (lstat(path, &st) != 0 && errno == ENOENT) return KW_OK;
    if (nftw(path, remove_one, 16, FTW_DEPTH | FTW_PHYS) != 0)
        return fail_io(err, path, "can't remove");
    return KW_OK;
}

enum kw_status kw_exchange_folder(const char *fresh, const char *path, struct kw_error *err) {
    if (renameat2(AT_FDCWD, fresh, AT_FDCWD, path, RENAME_NOREPLACE) == 0) return KW_OK;
    if (errno == EEXIST && renameat2(AT_FDCWD, fresh, AT_FDCWD, path, RENAME_EXCHANGE) == 0) {
        return kw_remove_folder(fresh, err); // it now holds the old contents
    }
    return fail_io(err, path, "can't put the finished packet in place");
}

static int by_bytes(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

enum kw_status kw_list_folder(struct kw_arena *a, const char *path, const char *suffix,
                              const char ***names, int *count, struct kw_error *err) {
    *names = NULL;
    *count = 0;
    DIR *d = opendir(path);
    if (!d && errno == ENOENT) return KW_OK;
    if (!d) return fail_io(err, path, "can't list");
    size_t tail = strlen(suffix);
    for (struct dirent *e; (e = readdir(d));) {
        size_t n = strlen(e->d_name);
        if (e->d_name[0] == '.' || n <= tail || strcmp(e->d_name + n - tail, suffix) != 0) continue;
        KW_PUSH(a, *names, *count) = kw_copy_text(a, e->d_name, n);
    }
    closedir(d);
    if (*count > 1) qsort(*names, (size_t)*count, sizeof **names, by_bytes);
    return KW_OK;
}
