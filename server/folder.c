// SPDX-License-Identifier: Apache-2.0
// The shop folder as the server may touch it: inside only, whole files only, never over a change
// that somebody else made.
#include "server/inside.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool inside(const struct kw_server *s, const char *real) {
    size_t n = strlen(s->root);
    return strncmp(real, s->root, n) == 0 && (real[n] == '/' || real[n] == 0);
}

const char *folder_path(struct kw_arena *a, const struct kw_server *s, const char *relative,
                        struct kw_error *err) {
    char real[PATH_MAX];
    struct kw_place at = {.file = relative};
    const char *path = kw_format(a, "%s/%s", s->root, relative), *slash = strrchr(path, '/');
    if (relative[0] == '/' || strlen(path) >= PATH_MAX) {
        kw_fail(err, KW_USAGE, at, "no name inside the shop folder");
        return NULL;
    }
    if (realpath(path, real)) {
        if (inside(s, real)) return kw_copy_text(a, real, strlen(real));
    } else if (errno == ENOENT) { // a new file: its folder must be inside, and it no dead link
        struct stat st;
        const char *folder = kw_copy_text(a, path, (size_t)(slash - path));
        if (!realpath(folder, real)) {
            kw_fail(err, KW_MISSING, at, "no such file");
            return NULL;
        }
        const char *last = slash + 1;
        bool plain = *last && strcmp(last, ".") != 0 && strcmp(last, "..") != 0;
        const char *whole = kw_format(a, "%s/%s", real, last);
        if (plain && inside(s, real) && lstat(whole, &st) != 0) return whole;
    }
    kw_fail(err, KW_USAGE, at, "leads out of the shop folder");
    return NULL;
}

enum kw_status folder_read(struct kw_arena *a, const struct kw_server *s, const char *relative,
                           size_t most, char **bytes, size_t *length, uint64_t *hash,
                           struct kw_error *err) {
    struct kw_error why = {0};
    struct kw_place at = {.file = relative};
    const char *path = folder_path(a, s, relative, err);
    if (!path) return err ? err->status : KW_USAGE;
    enum kw_status status = kw_read_file(a, path, most, (struct kw_place){0}, bytes, length, &why);
    if (status != KW_OK) return kw_fail(err, status, at, "%s", why.text);
    *hash = kw_hash(KW_HASH_START, *bytes, *length);
    return KW_OK;
}

/// Makes the new name last through a power cut. What can't do that is no reason to fail.
static void sync_folder(const char *path) {
    char folder[PATH_MAX];
    const char *slash = strrchr(path, '/');
    snprintf(folder, sizeof folder, "%.*s", (int)(slash - path), path);
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) return;
    (void)fsync(fd);
    close(fd);
}

static enum kw_status put_in_place(const char *path, const char *fresh, bool is_new,
                                   struct kw_error *err) {
    struct stat st;
    if (!is_new && stat(path, &st) == 0) (void)chmod(fresh, st.st_mode & 07777);
    // A new file must not go over one that appeared meanwhile.
    int failed =
        is_new ? renameat2(AT_FDCWD, fresh, AT_FDCWD, path, RENAME_NOREPLACE) : rename(fresh, path);
    if (failed && is_new && errno == EINVAL) failed = rename(fresh, path); // no such file system
    if (!failed) {
        sync_folder(path);
        return KW_OK;
    }
    int code = errno;
    unlink(fresh);
    return kw_fail(err, code == EEXIST ? KW_DUPLICATE : KW_IO, (struct kw_place){.file = path},
                   "can't write: %s", strerror(code));
}

/// The hash that the file has now is the one that the writer began from.
static enum kw_status same_as_read(struct kw_arena *a, const struct kw_server *s,
                                   const char *relative, const char *was, uint64_t *now,
                                   struct kw_error *err) {
    struct kw_error why = {0};
    char *bytes, digits[HASH_DIGITS + 1];
    size_t length;
    struct kw_place at = {.file = relative};
    enum kw_status status =
        folder_read(a, s, relative, KW_DXF_MOST_BYTES, &bytes, &length, now, &why);
    if (status == KW_MISSING && !was) return KW_OK;
    if (status == KW_MISSING)
        return kw_fail(err, KW_DUPLICATE, at, "the file is gone; nothing was written");
    if (status != KW_OK) return kw_fail(err, status, at, "%s", why.text);
    hash_text(digits, *now);
    if (was && strcmp(was, digits) == 0) return KW_OK;
    return kw_fail(err, KW_DUPLICATE, at,
                   was ? "the file was changed outside meanwhile; nothing was written"
                       : "a file of this name is there already; nothing was written");
}

static enum kw_status write_locked(struct kw_arena *a, struct kw_server *s, const char *relative,
                                   const char *was, const char *bytes, size_t length, uint64_t *now,
                                   struct kw_error *err) {
    struct kw_error why = {0};
    *now = 0;
    enum kw_status status = same_as_read(a, s, relative, was, now, err);
    if (status != KW_OK) return status;
    const char *path = folder_path(a, s, relative, err);
    if (!path) return KW_USAGE;
    const char *slash = strrchr(path, '/');
    const char *fresh =
        kw_format(a, "%.*s/.%s.%d.new", (int)(slash - path), path, slash + 1, (int)getpid());
    status = kw_write_file(fresh, bytes, length, &why);
    if (status != KW_OK) {
        unlink(fresh);
        return kw_fail(err, status, (struct kw_place){.file = relative}, "%s", why.text);
    }
    status = put_in_place(path, fresh, !was, err);
    if (status == KW_OK) *now = kw_hash(KW_HASH_START, bytes, length);
    return status;
}

enum kw_status folder_write(struct kw_server *s, const char *relative, const char *was,
                            const char *bytes, size_t length, uint64_t *now, struct kw_error *err) {
    struct kw_arena a = {0};
    pthread_mutex_lock(&s->write_lock);
    enum kw_status status = write_locked(&a, s, relative, was, bytes, length, now, err);
    pthread_mutex_unlock(&s->write_lock);
    kw_arena_free(&a);
    return status;
}

/// A file that a server which is no more had not finished: ".NAME.PID.new".
static bool is_left_over(const char *name) {
    size_t n = strlen(name);
    if (name[0] != '.' || n < 8 || strcmp(name + n - 4, ".new") != 0) return false;
    size_t i = n - 4;
    while (i > 0 && name[i - 1] >= '0' && name[i - 1] <= '9')
        i--;
    long pid = strtol(name + i, NULL, 10);
    return i > 1 && name[i - 1] == '.' && pid > 0 && kill((pid_t)pid, 0) != 0 && errno == ESRCH;
}

void folder_tidy(const struct kw_server *s) {
    static const char *const folders[] = {".", "kits", "drawings"};
    int root = open(s->root, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    for (int i = 0; root >= 0 && i < 3; i++) {
        int fd = openat(root, folders[i], O_RDONLY | O_DIRECTORY | O_CLOEXEC | O_NOFOLLOW);
        DIR *d = fd < 0 ? NULL : fdopendir(fd);
        if (!d && fd >= 0) close(fd);
        for (struct dirent *e; d && (e = readdir(d));)
            if (is_left_over(e->d_name)) (void)unlinkat(fd, e->d_name, 0);
        if (d) closedir(d);
    }
    if (root >= 0) close(root);
}

// ---------------------------------------------------------------------------------------- stamps

static uint64_t stamp_file(uint64_t h, int folder, const char *name) {
    struct stat st;
    if (fstatat(folder, name, &st, 0) != 0) return kw_hash(h, "-", 1);
    const int64_t v[6] = {(int64_t)st.st_ino, st.st_size,        st.st_mtim.tv_sec,
                          st.st_mtim.tv_nsec, st.st_ctim.tv_sec, st.st_ctim.tv_nsec};
    return kw_hash(kw_hash(h, name, strlen(name) + 1), v, sizeof v);
}

/// Of a folder's files whatever the order in which the system lists them.
static uint64_t stamp_folder(int root, const char *name) {
    int fd = openat(root, name, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *d = fd < 0 ? NULL : fdopendir(fd);
    uint64_t sum = 0;
    if (!d && fd >= 0) close(fd);
    for (struct dirent *e; d && (e = readdir(d));)
        if (e->d_name[0] != '.') sum += stamp_file(KW_HASH_START, fd, e->d_name);
    if (d) closedir(d);
    return sum;
}

struct folder_stamp folder_stamp(const struct kw_server *s) {
    struct folder_stamp f = {0};
    int root = open(s->root, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (root < 0) return f;
    f.shop = stamp_file(stamp_file(KW_HASH_START, root, "shop.yaml"), root, "coupons.csv");
    f.orders = stamp_file(KW_HASH_START, root, "orders.csv");
    f.kits = stamp_folder(root, "kits");
    f.drawings = stamp_folder(root, "drawings");
    f.runs = stamp_folder(root, "runs");
    close(root);
    return f;
}
