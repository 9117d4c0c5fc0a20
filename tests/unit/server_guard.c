// Closed by default: who may ask what.
#include "server_help.h"

static int with(struct shop *s, struct kw_request q) {
    if (!q.method) q.method = "GET";
    if (!q.target) q.target = "/api/shop";
    q.body = q.body ? q.body : "";
    return ask_as(s, q);
}

Test(server_guard, answers_under_its_own_address_only) {
    struct shop s;
    open_shop(&s);
    const char *ours[] = {"127.0.0.1:8437", "localhost:8437", "LOCALHOST:8437"};
    for (size_t i = 0; i < sizeof ours / sizeof *ours; i++)
        cr_expect_eq(with(&s, (struct kw_request){.host = ours[i]}), 200, "%s", ours[i]);
    const char *foreign[] = {"example.org:8437",
                             "127.0.0.1:8438",
                             "127.0.0.1",
                             "localhost",
                             "127.0.0.2:8437",
                             "192.168.1.2:8437",
                             "[::1]:8437",
                             "127.0.0.1.x:8437",
                             "localhost:8437.x",
                             ":8437",
                             "",
                             "localhost:08437"};
    for (size_t i = 0; i < sizeof foreign / sizeof *foreign; i++)
        cr_expect_eq(with(&s, (struct kw_request){.host = foreign[i]}), 403, "%s", foreign[i]);
    struct kw_request none = {.method = "GET", .target = "/", .body = ""};
    kw_response_free(&s.r);
    kw_server_answer(s.server, &none, &s.r);
    cr_expect_eq(s.r.status, 403, "no Host at all");
    close_shop(&s);
}

Test(server_guard, refuses_other_pages) {
    struct shop s;
    open_shop(&s);
    cr_expect_eq(with(&s, (struct kw_request){.origin = "http://127.0.0.1:8437"}), 200);
    cr_expect_eq(
        with(&s, (struct kw_request){.origin = "http://localhost:8437", .host = "localhost:8437"}),
        200);
    const char *foreign[] = {"http://127.0.0.1:8438",
                             "https://127.0.0.1:8437",
                             "null",
                             "http://example.org",
                             "http://127.0.0.1:8437.example.org",
                             ""};
    for (size_t i = 0; i < sizeof foreign / sizeof *foreign; i++)
        cr_expect_eq(with(&s, (struct kw_request){.origin = foreign[i]}), 403, "%s", foreign[i]);
    cr_expect_eq(with(&s, (struct kw_request){.fetch_site = "cross-site"}), 403);
    cr_expect_eq(with(&s, (struct kw_request){.fetch_site = "same-site"}), 403);
    cr_expect_eq(with(&s, (struct kw_request){.fetch_site = "same-origin"}), 200);
    cr_expect_eq(with(&s, (struct kw_request){.fetch_site = "cross-site", .target = "/"}), 200,
                 "a link to the page itself may be followed");
    close_shop(&s);
}

Test(server_guard, changes_need_the_token) {
    struct shop s;
    open_shop(&s);
    char *before = strdup(file_text(&s, "orders.csv"));
    const char *targets[][2] = {{"PUT", "/api/orders"},         {"PUT", "/api/kits/fire-ring"},
                                {"POST", "/api/kits"},          {"POST", "/api/kits/fire-ring/set"},
                                {"POST", "/api/runs"},          {"DELETE", "/api/jobs/0"},
                                {"PUT", "/api/drawings/a.dxf"}, {"POST", "/nothing"}};
    const char *tokens[] = {NULL, "", "0123456789abcdef0123456789abcdef"};
    for (size_t i = 0; i < sizeof targets / sizeof *targets; i++)
        for (size_t k = 0; k < 3; k++)
            cr_expect_eq(with(&s, (struct kw_request){.method = targets[i][0],
                                                      .target = targets[i][1],
                                                      .token = tokens[k],
                                                      .body = "{}",
                                                      .length = 2}),
                         403, "%s %s with token %s", targets[i][0], targets[i][1],
                         tokens[k] ? tokens[k] : "none");
    char almost[64];
    snprintf(almost, sizeof almost, "%s", kw_server_token(s.server));
    almost[31] = almost[31] == '0' ? '1' : '0';
    cr_expect_eq(
        with(&s, (struct kw_request){.method = "PUT", .target = "/api/orders", .token = almost}),
        403);
    almost[31] = 0; // one digit short
    cr_expect_eq(
        with(&s, (struct kw_request){.method = "PUT", .target = "/api/orders", .token = almost}),
        403);
    cr_expect_str_eq(file_text(&s, "orders.csv"), before);
    free(before);
    close_shop(&s);
}

Test(server_guard, a_token_is_for_one_start) {
    struct shop a, b;
    open_shop(&a);
    open_shop(&b);
    cr_expect_eq(strlen(kw_server_token(a.server)), KW_SERVER_TOKEN_DIGITS);
    cr_expect_str_neq(kw_server_token(a.server), kw_server_token(b.server));
    cr_assert_eq(ask(&a, "GET", "/", NULL), 200);
    cr_expect(strstr(a.r.body.s, kw_server_token(a.server)), "the page holds it");
    close_shop(&a);
    close_shop(&b);
}

Test(server_guard, many_requests_at_once_are_slowed) {
    struct shop s;
    open_shop(&s);
    struct kw_server_options o = {.folder = s.folder, .port = KW_SERVER_PORT};
    struct kw_server *strict;
    cr_assert_eq(kw_server_open(&o, &strict, NULL), KW_OK);
    int refused = 0, other = 0;
    for (int i = 0; i < 400; i++) {
        struct kw_response r = {0};
        struct kw_request q = {.method = "DELETE",
                               .target = "/api/jobs/x",
                               .peer = "1.2.3.4",
                               .host = "127.0.0.1:8437",
                               .body = ""};
        kw_server_answer(strict, &q, &r);
        refused += r.status == 429;
        other += r.status == 403;
        kw_response_free(&r);
    }
    cr_expect(refused > 100 && other >= 200, "%d refused, %d looked at", refused, other);
    struct kw_response r = {0};
    struct kw_request q = {.method = "GET",
                           .target = "/api/jobs/x",
                           .peer = "1.2.3.5",
                           .host = "127.0.0.1:8437",
                           .body = ""};
    kw_server_answer(strict, &q, &r);
    cr_expect_eq(r.status, 404, "another machine is not slowed by it");
    kw_response_free(&r);
    kw_server_close(strict);
    close_shop(&s);
}

// RFC 7617, section 2: user "test", password "123£" in UTF-8 is dGVzdDoxMjPCow==.
Test(server_guard, wider_listening_needs_a_passphrase) {
    struct shop s;
    open_shop(&s);
    struct kw_error err = {0};
    struct kw_server *wide = NULL;
    struct kw_server_options o = {
        .folder = s.folder, .port = 80, .address = "0.0.0.0", .no_limits = true};
    cr_expect_eq(kw_server_open(&o, &wide, &err), KW_USAGE);
    cr_expect(strstr(err.text, "passphrase"), "%s", err.text);
    o.passphrase = "short";
    cr_expect_eq(kw_server_open(&o, &wide, NULL), KW_USAGE);
    o.passphrase = "twelve words";
    cr_assert_eq(kw_server_open(&o, &wide, NULL), KW_OK);
    const struct {
        const char *header;
        int status;
    } cases[] = {{NULL, 401},
                 {"Basic eDp0d2VsdmUgd29yZHM=", 200}, // x:twelve words
                 {"basic OnR3ZWx2ZSB3b3Jkcw==", 200}, // no user
                 {"Basic eDp0d2VsdmUgd29yZA==", 401}, // twelve word
                 {"Basic dGVzdDoxMjPCow==", 401},
                 {"Basic", 401},
                 {"Basic !!", 401},
                 {"Bearer eDp0d2VsdmUgd29yZHM=", 401}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_response r = {0};
        char peer[16];
        snprintf(peer, sizeof peer, "10.0.0.%zu", i);
        struct kw_request q = {.method = "GET",
                               .target = "/api/shop",
                               .host = "192.168.1.20",
                               .authorization = cases[i].header,
                               .peer = peer,
                               .body = ""};
        kw_server_answer(wide, &q, &r);
        cr_expect_eq(r.status, cases[i].status, "%s: %d",
                     cases[i].header ? cases[i].header : "none", r.status);
        cr_expect_eq(r.ask_phrase, r.status == 401);
        kw_response_free(&r);
    }
    int last = 0;
    for (int i = 0; i < 10; i++) {
        struct kw_response r = {0};
        struct kw_request q = {.method = "GET",
                               .target = "/",
                               .host = "192.168.1.20",
                               .authorization = "Basic eDp3cm9uZw==",
                               .peer = "10.0.0.99",
                               .body = ""};
        kw_server_answer(wide, &q, &r);
        last = r.status;
        kw_response_free(&r);
    }
    cr_expect_eq(last, 429, "guessing is slow");
    struct kw_response r = {0};
    struct kw_request named = {.method = "GET", .target = "/", .host = "example.org", .body = ""};
    kw_server_answer(wide, &named, &r);
    cr_expect_eq(r.status, 403, "names that others can give to this address");
    kw_response_free(&r);
    kw_server_close(wide);
    close_shop(&s);
}

Test(server_guard, bodies_are_bounded_and_shallow) {
    struct shop s;
    open_shop(&s);
    size_t most = 0;
    struct kw_response r = {0};
    struct kw_request q = {.method = "PUT",
                           .target = "/api/drawings/a.dxf",
                           .host = "127.0.0.1:8437",
                           .token = kw_server_token(s.server)};
    cr_expect(kw_server_admit(s.server, &q, &most, &r));
    cr_expect_eq(most, KW_SERVER_MOST_DRAWING);
    q.target = "/api/orders";
    cr_expect(kw_server_admit(s.server, &q, &most, &r));
    cr_expect_eq(most, KW_SERVER_MOST_BODY);
    char *big = calloc(1, KW_SERVER_MOST_BODY + 1);
    q.body = big;
    q.length = KW_SERVER_MOST_BODY + 1;
    cr_expect_eq(ask_as(&s, q), 413);
    free(big);
    cr_expect_eq(ask_as(&s,
                        (struct kw_request){
                            .method = "GET", .target = "/api/shop", .body = "x", .length = 1}),
                 413, "no body belongs to a GET");
    for (int depth = 31; depth <= 33; depth++) {
        char text[256] = "{\"text\": \"[[[[[[[[[\\\"[[[\", \"a\": ";
        for (int i = 1; i < depth; i++)
            strcat(text, "[");
        for (int i = 1; i < depth; i++)
            strcat(text, "]");
        strcat(text, "}");
        int status = ask(&s, "POST", "/api/orders/look", text);
        cr_expect_eq(status, depth <= KW_SERVER_DEEPEST_JSON ? 200 : 400, "depth %d: %d", depth,
                     status);
    }
    const char *broken[] = {
        "", "[]", "1", "{", "{\"a\":1,\"a\":2}", "{\"text\":\"\\u0000\"}", "{\"text\": \"\xff\"}"};
    for (size_t i = 0; i < sizeof broken / sizeof *broken; i++)
        cr_expect_eq(ask(&s, "POST", "/api/orders/look", broken[i]), 400, "%s", broken[i]);
    close_shop(&s);
}
