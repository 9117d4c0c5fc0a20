// SPDX-License-Identifier: Apache-2.0
// A fixed number of tasks on any number of threads: each takes the next that nobody has begun.
#include "base/base.h"

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>

#define MOST_THREADS 64

struct team {
    void (*task)(void *user, int index);
    void *user;
    int count;
    atomic_int next;
};

static void *work(void *team) {
    struct team *t = team;
    for (int i; (i = atomic_fetch_add(&t->next, 1)) < t->count;)
        t->task(t->user, i);
    return NULL;
}

void kw_team_run(void (*task)(void *user, int index), void *user, int count, int threads) {
    pthread_t thread[MOST_THREADS];
    bool started[MOST_THREADS] = {false};
    struct team team = {.task = task, .user = user, .count = count};
    int n = threads < count ? threads : count;
    n = n < 1 ? 1 : n > MOST_THREADS ? MOST_THREADS : n;
    for (int i = 1; i < n; i++)
        started[i] = pthread_create(&thread[i], NULL, work, &team) == 0;
    work(&team);
    for (int i = 1; i < n; i++)
        if (started[i]) pthread_join(thread[i], NULL);
}

int kw_team_cores(void) {
    cpu_set_t mine; // a server's planning thread, or a container, may be held to a few of them
    long n = sched_getaffinity(0, sizeof mine, &mine) == 0 ? CPU_COUNT(&mine) : 1;
    return n < 1 ? 1 : n > MOST_THREADS ? MOST_THREADS : (int)n;
}
