// SPDX-License-Identifier: Apache-2.0
// Private to nest: a fixed number of tasks on any number of threads. Tasks share nothing that is
// written, so that who runs which makes no difference.
#pragma once

/// Runs task(user, 0) .. task(user, count - 1) and returns when all are done. Where no thread can
/// be started the caller's does it all.
void team_run(void (*task)(void *user, int index), void *user, int count, int threads);
