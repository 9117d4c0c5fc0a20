// A week as a job, what it leaves, and what is read from it.
#include "server_help.h"

#include <math.h>

static const char small_orders[] = "order,kit,part,count,due\n1,potting-bench,,1,2026-12-02\n"
                                   "2,herb-box-18,,1,2026-12-03\n";

static int state_of(struct shop *s, const char *job, char state[16]) {
    char target[64];
    snprintf(target, sizeof target, "/api/jobs/%s", job);
    int status = ask(s, "GET", target, NULL);
    snprintf(state, 16, "%s", status == 200 ? text_at(s->json, "state") : "");
    return status;
}

static void wait_for(struct shop *s, const char *job, char state[16]) {
    for (int i = 0; i < 1200; i++) {
        cr_assert_eq(state_of(s, job, state), 200);
        if (strcmp(state, "running") != 0) return;
        usleep(50000);
    }
}

static void start(struct shop *s, const char *name, char job[32]) {
    cr_assert_eq(
        ask_json(s, "POST", "/api/runs",
                 json_pack("{sssssb}", "name", name, "date", "2026-11-30", "keep_going", 1)),
        202);
    snprintf(job, 32, "%s", text_at(s->json, "job"));
}

Test(server_jobs, a_week_is_run_and_looked_at) {
    struct shop s;
    char job[32], state[16];
    open_shop(&s);
    kw_write_file(shop_file(&s, "orders.csv"), small_orders, strlen(small_orders), NULL);
    cr_assert_eq(ask(&s, "GET", "/api/monday", NULL), 200);
    cr_expect(json_is_null(json_object_get(s.json, "run")));
    start(&s, "w", job);
    cr_expect_eq(ask_json(&s, "POST", "/api/runs", json_pack("{ss}", "name", "x")), 409,
                 "one at a time");
    cr_assert_eq(ask(&s, "GET", "/api/shop", NULL), 200);
    cr_expect_str_eq(text_at(s.json, "job"), job, "another tab finds it");
    wait_for(&s, job, state);
    cr_assert_str_eq(state, "done", "%s", s.r.body.s);
    cr_assert_eq(ask(&s, "GET", "/api/runs/w", NULL), 200);
    json_t *run = json_incref(s.json), *sheet, *row;
    size_t i, k;
    cr_expect_gt(json_array_size(json_object_get(run, "sheets")), 0);
    json_array_foreach(json_object_get(run, "sheets"), i, sheet) {
        char target[128];
        snprintf(target, sizeof target, "/api/runs/w/sheets/%s/torch", text_at(sheet, "id"));
        cr_assert_eq(ask(&s, "GET", target, NULL), 200);
        double cut = 0, x = 0, y = 0;
        json_array_foreach(json_object_get(s.json, "moves"), k, row) {
            json_t *to = json_object_get(row, "to");
            double nx = json_number_value(json_array_get(to, 0));
            double ny = json_number_value(json_array_get(to, 1));
            if (json_is_true(json_object_get(row, "cut")) &&
                json_integer_value(json_object_get(row, "way")) == 0)
                cut += hypot(nx - x, ny - y);
            x = nx;
            y = ny;
        }
        double all = json_number_value(json_object_get(sheet, "cut_length"));
        cr_expect(cut > 0 && cut <= all + 1, "straight cuts %g of %g mm", cut, all);
        snprintf(target, sizeof target, "/api/runs/w/files/%s", text_at(sheet, "program"));
        cr_expect_eq(ask(&s, "GET", target, NULL), 200);
    }
    json_array_foreach(json_object_get(run, "brake"), i, row) {
        char target[128];
        snprintf(target, sizeof target, "/api/runs/w/brake/%s", text_at(row, "part"));
        cr_assert_eq(ask(&s, "GET", target, NULL), 200, "%s", target);
        cr_expect(json_is_false(json_object_get(s.json, "changed")), "%s", target);
        cr_expect_eq(json_array_size(json_object_get(s.json, "steps")),
                     json_array_size(json_object_get(row, "steps")));
    }
    cr_assert_eq(ask(&s, "GET", "/api/runs/w/files/packet.pdf", NULL), 200);
    cr_expect_eq(memcmp(s.r.body.s, "%PDF", 4), 0);
    cr_expect_str_eq(s.r.type, "application/pdf");
    char tag[32];
    snprintf(tag, sizeof tag, "%s", s.r.tag);
    cr_expect_eq(ask_as(&s, (struct kw_request){.method = "GET",
                                                .target = "/api/runs/w/files/packet.pdf",
                                                .if_none_match = tag,
                                                .body = ""}),
                 304);
    cr_expect_eq(ask(&s, "GET", "/api/runs/w/files/sheets", NULL), 404, "a folder is no file");
    cr_expect_eq(ask(&s, "GET", "/api/runs/v", NULL), 404);
    cr_expect_eq(ask(&s, "GET", "/api/runs/w/sheets/S99/torch", NULL), 404);
    cr_assert_eq(ask(&s, "GET", "/api/monday?date=2026-11-30", NULL), 200);
    cr_expect_str_eq(text_at(s.json, "run"), "w");
    double sales = 0, cost = 0;
    json_array_foreach(json_object_get(run, "cost"), i, row) {
        json_t *kit;
        json_array_foreach(json_object_get(run, "kits"), k, kit) {
            if (strcmp(text_at(kit, "kit"), text_at(row, "kit")) != 0) continue;
            double boxes = json_number_value(json_object_get(kit, "boxed"));
            sales += boxes * atof(text_at(row, "price"));
            cost += boxes * atof(text_at(row, "total"));
        }
    }
    json_t *profit = json_object_get(s.json, "profit");
    cr_expect_lt(fabs(atof(text_at(profit, "profit")) - (sales - cost)), 0.011);
    json_decref(run);
    close_shop(&s);
}

Test(server_jobs, a_run_can_be_cancelled) {
    struct shop s;
    char job[32], state[16], target[64];
    open_shop(&s);
    start(&s, "w", job);
    snprintf(target, sizeof target, "/api/jobs/%s", job);
    cr_assert_eq(ask(&s, "DELETE", target, NULL), 200);
    wait_for(&s, job, state);
    cr_expect_str_eq(state, "stopped");
    cr_expect_eq(ask(&s, "GET", "/api/runs/w", NULL), 404, "nothing is left of it");
    struct stat st;
    cr_expect_neq(stat(shop_file(&s, "runs/w"), &st), 0);
    cr_expect_eq(ask(&s, "DELETE", "/api/jobs/0123456789abcdef", NULL), 404);
    cr_expect_eq(ask(&s, "GET", "/api/jobs/", NULL), 400);
    start(&s, "w", job); // and closing the server stops one that runs
    close_shop(&s);
}

Test(server_jobs, a_week_that_cannot_be_read_fails_with_its_place) {
    struct shop s;
    char job[32], state[16];
    open_shop(&s);
    kw_write_file(shop_file(&s, "kits/fire-ring.yaml"), "kit: [\n", 7, NULL);
    start(&s, "w", job);
    wait_for(&s, job, state);
    cr_expect_str_eq(state, "failed");
    cr_expect_str_eq(text_at(json_object_get(s.json, "error"), "file"), "kits/fire-ring.yaml");
    kw_write_file(shop_file(&s, "orders.csv"), "order,kit,count,due\n", 20, NULL);
    copy_file("demo/kits/fire-ring.yaml", shop_file(&s, "kits/fire-ring.yaml"));
    start(&s, "w", job);
    wait_for(&s, job, state);
    cr_expect_str_eq(state, "failed");
    cr_expect(strstr(text_at(json_object_get(s.json, "error"), "text"), "no orders"));
    close_shop(&s);
}

Test(server_jobs, quotes_are_kept_and_stand_in_the_look) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(ask(&s, "GET", "/api/kits/herb-box", NULL), 200);
    cr_expect(json_is_null(json_object_get(s.json, "cost")));
    cr_assert_eq(ask(&s, "GET", "/api/kits/herb-box/quote", NULL), 200);
    const char *keys[] = {"material", "machine", "labour", "hardware", "packing"};
    double sum = 0, total = atof(text_at(s.json, "total"));
    for (int i = 0; i < 5; i++)
        sum += atof(text_at(s.json, keys[i]));
    cr_expect_lt(fabs(sum - total), 0.011);
    cr_expect_gt(atof(text_at(s.json, "price")), total);
    cr_assert_eq(ask(&s, "GET", "/api/kits/herb-box", NULL), 200);
    cr_expect_lt(fabs(atof(text_at(json_object_get(s.json, "cost"), "total")) - total), 0.001);
    char look[32], target[96];
    snprintf(look, sizeof look, "%s", text_at(s.json, "look"));
    snprintf(target, sizeof target, "/api/looks/%s/quote?count=1", look);
    cr_expect_eq(ask(&s, "GET", target, NULL), 200);
    const char *bad[] = {"0", "-1", "x", "100001", "1x", ""};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        snprintf(target, sizeof target, "/api/kits/herb-box/quote?count=%s", bad[i]);
        cr_expect_eq(ask(&s, "GET", target, NULL), 400, "%s", bad[i]);
    }
    close_shop(&s);
}

Test(server_jobs, orders_and_drawings_are_read_before_they_are_written) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(ask(&s, "GET", "/api/orders", NULL), 200);
    char *hash = strdup(text_at(s.json, "hash"));
    cr_expect_eq(json_array_size(json_object_get(s.json, "rows")), 15);
    cr_expect_eq(ask_json(&s, "PUT", "/api/orders",
                          json_pack("{ssss}", "text", "order,kit,count,due\n1,x,1,2026-12-01\n",
                                    "was", hash)),
                 200);
    cr_expect(json_is_false(json_object_get(s.json, "written")));
    cr_expect_eq(json_integer_value(json_object_get(json_object_get(s.json, "error"), "line")), 2);
    cr_expect_eq(ask_json(&s, "PUT", "/api/orders", json_pack("{ss}", "text", small_orders)), 409,
                 "there is one already");
    cr_expect_eq(
        ask_json(&s, "PUT", "/api/orders", json_pack("{ssss}", "text", small_orders, "was", hash)),
        200);
    cr_expect_str_eq(file_text(&s, "orders.csv"), small_orders);
    cr_expect_eq(
        ask_json(&s, "PUT", "/api/orders", json_pack("{ssss}", "text", small_orders, "was", hash)),
        409);
    unlink(shop_file(&s, "orders.csv"));
    cr_assert_eq(ask(&s, "GET", "/api/orders", NULL), 200);
    cr_expect(json_is_null(json_object_get(s.json, "hash")));
    cr_expect_eq(ask_json(&s, "PUT", "/api/orders", json_pack("{ss}", "text", small_orders)), 200);
    char *drawing = strdup(file_text(&s, "drawings/leaf.dxf"));
    cr_expect_eq(ask(&s, "PUT", "/api/drawings/leaf.dxf", drawing), 409);
    cr_expect_eq(ask(&s, "PUT", "/api/drawings/two.dxf", drawing), 200);
    cr_expect_str_eq(file_text(&s, "drawings/two.dxf"), drawing);
    cr_expect_eq(ask(&s, "PUT", "/api/drawings/three.dxf", "no drawing"), 200);
    cr_expect(json_is_false(json_object_get(s.json, "written")));
    cr_expect_null(file_text(&s, "drawings/three.dxf"));
    cr_expect_eq(ask(&s, "GET", "/api/drawings/three.dxf", NULL), 404);
    free(drawing);
    free(hash);
    close_shop(&s);
}
