// SPDX-License-Identifier: Apache-2.0
// A fixed number of tasks on any number of threads.
#include "base/base.h"

#include <pthread.h>
#include <sched.h>

#define MOST_THREADS 64

struct member {
    void (*task)(void *user, int index);
    void *user;
    int first, step, count;
};

static void *work(void *member) {
    const struct member *m = member;
    for (int i = m->first; i < m->count; i += m->step)
        m->task(m->user, i);
    return NULL;
}

void kw_team_run(void (*task)(void *user, int index), void *user, int count, int threads) {
    pthread_t thread[MOST_THREADS];
    struct member member[MOST_THREADS];
    bool started[MOST_THREADS] = {false};
    int n = threads < count ? threads : count;
    n = n < 1 ? 1 : n > MOST_THREADS ? MOST_THREADS : n;
    for (int i = 0; i < n; i++)
        member[i] = (struct member){task, user, i, n, count};
    for (int i = 1; i < n; i++)
        started[i] = pthread_create(&thread[i], NULL, work, &member[i]) == 0;
    work(&member[0]);
    for (int i = 1; i < n; i++) {
        if (started[i])
            pthread_join(thread[i], NULL);
        else
            work(&member[i]);
    }
}

int kw_team_cores(void) {
    cpu_set_t mine; // a server's planning thread, or a container, may be held to a few of them
    long n = sched_getaffinity(0, sizeof mine, &mine) == 0 ? CPU_COUNT(&mine) : 1;
    return n < 1 ? 1 : n > MOST_THREADS ? MOST_THREADS : (int)n;
}
