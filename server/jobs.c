// SPDX-License-Identifier: Apache-2.0
// Planning a week takes long: it is a job of its own thread, one at a time. Who asked may go away
// and come back; the last jobs are remembered. The thread leaves one core to those who read.
#include "packet/packet.h"
#include "server/planning.h"

#include <malloc.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#define REMEMBERED 16

enum state { WAITING, RUNNING, DONE, STOPPED, FAILED };
static const char *const state_words[] = {"waiting", "running", "done", "stopped", "failed"};

struct job {
    char id[HASH_DIGITS + 1]; // "" a free row
    enum state state;
    char stage[64], run[72];
    double part;  // of the stage
    double whole; // of the run, by how long stages take of the demo's week
    struct kw_error error;
    int stops; // findings of that level in the result
    struct kw_run_options options;
};
struct jobs {
    struct kw_server *server;
    pthread_mutex_t lock;
    struct job last[REMEMBERED];
    int next; // row that the next one takes
    struct job *now;
    pthread_t thread;
    bool joinable;
    atomic_bool stop;
};

struct jobs *jobs_make(struct kw_server *s) {
    struct jobs *j = calloc(1, sizeof *j);
    kw_assert(j);
    j->server = s;
    pthread_mutex_init(&j->lock, NULL);
    return j;
}

void jobs_free(struct jobs *j) {
    if (!j) return;
    j->stop = true;
    if (j->joinable) pthread_join(j->thread, NULL);
    pthread_mutex_destroy(&j->lock);
    free(j);
}

bool jobs_running(struct jobs *j, char id[HASH_DIGITS + 1]) {
    pthread_mutex_lock(&j->lock);
    bool is = j->now != NULL;
    if (is) memcpy(id, j->now->id, HASH_DIGITS + 1);
    pthread_mutex_unlock(&j->lock);
    return is;
}

// ------------------------------------------------------------------------------------ the thread

static bool is_stopped(void *user) {
    return ((struct jobs *)user)->stop;
}

/// Stages in the order in which a week goes through them, and where in the whole each ends.
static const struct {
    const char *stage;
    double end;
} stages[] = {{"checking parts", 0.03}, {"nesting sheets", 0.5}, {"planning cuts", 0.8},
              {"sawing list", 0.85},    {"sticks", 0.88},        {"writing sheets", 0.9},
              {"second opinion", 1}};

static double whole_of(const char *stage, double part) {
    double begin = 0;
    for (size_t i = 0; i < sizeof stages / sizeof *stages; i++) {
        if (strcmp(stages[i].stage, stage) == 0) return begin + (stages[i].end - begin) * part;
        begin = stages[i].end;
    }
    return 0; // a stage within another, such as one nest
}

static void note_progress(void *user, const char *stage, double part) {
    struct jobs *j = user;
    part = part < 0 ? 0 : part > 1 ? 1 : part;
    double whole = whole_of(stage, part);
    if (strcmp(stage, "nest") == 0) stage = "nesting sheets";
    pthread_mutex_lock(&j->lock);
    snprintf(j->now->stage, sizeof j->now->stage, "%s", stage);
    j->now->part = part;
    if (whole > j->now->whole) j->now->whole = whole;
    pthread_mutex_unlock(&j->lock);
}

/// Threads that this one starts inherit both.
static void leave_a_core(void) {
    cpu_set_t mine;
    setpriority(PRIO_PROCESS, (id_t)gettid(), 10);
    if (sched_getaffinity(0, sizeof mine, &mine) != 0 || CPU_COUNT(&mine) < 2) return;
    size_t first = 0;
    while (!CPU_ISSET(first, &mine))
        first++;
    CPU_CLR(first, &mine);
    sched_setaffinity(0, sizeof mine, &mine);
}

static enum kw_status plan(struct jobs *j, const struct job *job, int *stops,
                           struct kw_error *err) {
    struct kw_watch watch = {.user = j, .progress = note_progress, .stopped = is_stopped};
    struct plan_input in = {0};
    struct kw_week week;
    const char *path;
    struct kw_run_options options = job->options;
    options.watch = &watch;
    options.name = job->run;
    enum kw_status s = plan_read(j->server, true, &in, err);
    if (s == KW_OK) s = kw_run_week(&in.arena, in.shop, &in.kits, &in.orders, &options, &week, err);
    if (s == KW_OK && is_stopped(j)) s = KW_STOPPED;
    struct kw_error why = {0};
    if (s == KW_OK && !folder_path(&in.arena, j->server, "runs", &why) && why.status == KW_USAGE)
        s = kw_fail(err, KW_USAGE, why.at, "%s", why.text);
    if (s == KW_OK)
        s = kw_packet_write(&week, j->server->root, j->server->made_by, &watch, &path, err);
    if (s == KW_OK) *stops = kw_findings_at_level(&week.findings, KW_STOP, false);
    relative_place(j->server, err);
    kw_arena_free(&in.arena);
    return s;
}

static void *work(void *user) {
    struct jobs *j = user;
    struct job *job = j->now;
    struct kw_error err = {0};
    leave_a_core();
    int stops = 0;
    enum kw_status s = plan(j, job, &stops, &err);
    malloc_trim(0);
    pthread_mutex_lock(&j->lock);
    job->stops = stops;
    job->state = s == KW_OK ? DONE : s == KW_STOPPED ? STOPPED : FAILED;
    if (job->state == DONE) job->part = job->whole = 1;
    if (job->state == FAILED) {
        job->error = err;
        if (err.status == KW_OK) job->error.status = s;
        if (job->error.at.file) job->error.at.file = job->error.file_name;
    }
    j->now = NULL;
    pthread_mutex_unlock(&j->lock);
    return NULL;
}

// --------------------------------------------------------------------------------------- handlers

/// Takes a row and starts; NULL when one runs already or no thread can be had.
static const char *start(struct jobs *j, const struct kw_run_options *o, const char *name) {
    const char *id = NULL;
    pthread_mutex_lock(&j->lock);
    if (!j->now) {
        if (j->joinable) pthread_join(j->thread, NULL); // it has ended, or ends without the lock
        struct job *job = &j->last[j->next];
        *job = (struct job){.state = RUNNING, .options = *o};
        random_digits(job->id, HASH_DIGITS);
        snprintf(job->run, sizeof job->run, "%s", name);
        j->stop = false;
        j->now = job;
        j->joinable = pthread_create(&j->thread, NULL, work, j) == 0;
        if (j->joinable) {
            j->next = (j->next + 1) % REMEMBERED;
            id = job->id;
        } else {
            j->now = NULL;
        }
    }
    pthread_mutex_unlock(&j->lock);
    return id;
}

static void begin_run(struct call *c, const json_t *body) {
    char day[KW_NUMBER_SIZE];
    struct kw_run_options o = {.date = today()};
    const char *date = body_text(body, "date"), *name = body_text(body, "name");
    if (date && !read_date(date, &o.date)) {
        answer_says(c->response, 400, "date: expected one such as 2026-11-30, got \"%.20s\"", date);
        return;
    }
    if (!name) name = kw_date_text(day, o.date);
    if (!plain_run_name(name)) {
        answer_says(c->response, 400,
                    "name: expected letters, digits, \"-\", \"_\" and \".\", got \"%.60s\"", name);
        return;
    }
    o.coupons = json_is_true(json_object_get(body, "coupons"));
    o.keep_going = json_is_true(json_object_get(body, "keep_going"));
    const char *id = start(c->server->jobs, &o, name);
    if (!id) {
        answer_says(c->response, 409, "a run is being planned already");
        return;
    }
    struct kw_json j = answer_json(c->response);
    c->response->status = 202;
    kw_json_key_text(&j, "job", id);
    kw_json_close(&j);
}

HANDLER(post_run) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    begin_run(c, body);
    json_decref(body);
}

static bool copy_job(struct jobs *j, const char *id, struct job *out) {
    bool found = false;
    pthread_mutex_lock(&j->lock);
    for (int i = 0; i < REMEMBERED && *id; i++) {
        if (strcmp(j->last[i].id, id) != 0) continue;
        *out = j->last[i];
        found = true;
    }
    pthread_mutex_unlock(&j->lock);
    return found;
}

static void answer_job(struct call *c, const struct job *job) {
    struct kw_json j = answer_json(c->response);
    kw_json_key_text(&j, "job", job->id);
    kw_json_key_text(&j, "state", state_words[job->state]);
    kw_json_key_text(&j, "stage", job->stage);
    kw_json_key_number(&j, "part", job->part, 4);
    kw_json_key_number(&j, "whole", job->whole, 4);
    kw_json_key_text(&j, "run", job->run);
    kw_json_key_count(&j, "stops", job->stops);
    if (job->state == FAILED && !job->error.text[0])
        put_error(&j, "error", &(struct kw_error){.status = KW_JUDGE, .text = "our own fault"});
    else
        put_error(&j, "error", &job->error);
    kw_json_close(&j);
}

HANDLER(get_job) {
    struct job job;
    if (!copy_job(c->server->jobs, c->parts[0], &job)) {
        answer_says(c->response, 404, "no such job");
        return;
    }
    job.error.at.file = job.error.at.file ? job.error.file_name : NULL;
    answer_job(c, &job);
}

HANDLER(delete_job) {
    struct jobs *j = c->server->jobs;
    struct job job;
    pthread_mutex_lock(&j->lock);
    if (j->now && strcmp(j->now->id, c->parts[0]) == 0) j->stop = true;
    pthread_mutex_unlock(&j->lock);
    if (!copy_job(j, c->parts[0], &job)) {
        answer_says(c->response, 404, "no such job");
        return;
    }
    job.error.at.file = job.error.at.file ? job.error.file_name : NULL;
    answer_job(c, &job);
}
