// No path leaves the shop folder: dots, encodings, NULs, links.
#include "server_help.h"

#include <errno.h>

Test(server_paths, what_is_no_plain_name_is_refused) {
    struct shop s;
    open_shop(&s);
    static const char *const targets[] = {
        "/api/kits/..",
        "/api/kits/../shop",
        "/api/kits/%2e%2e",
        "/api/kits/%2E%2E%2Fshop",
        "/api/kits/..%2fshop",
        "/api/kits/..%5cshop",
        "/api/kits/a%2fb",
        "/api/kits/fire-ring%00",
        "/api/kits/%00",
        "/api/kits/fire-ring%0a",
        "/api/kits/%7f",
        "/api/kits/%ff",
        "/api/kits/%c0%ae%c0%ae", // overlong dots (RFC 3629, section 3: must not be decoded)
        "/api/kits/%",
        "/api/kits/%4",
        "/api/kits/%zz",
        "/api/kits/.hidden",
        "/api//kits/fire-ring",
        "/api/kits/fire-ring/",
        "//etc/passwd",
        "/api/runs/../files/shop.yaml",
        "/api/runs/x/files/../../../shop.yaml",
        "/api/runs/x/files/%2e%2e/%2e%2e/shop.yaml",
        "/api/runs/x/files/a/./b",
        "/assets/../index.html",
        "/assets/%2e%2e/index.html",
        "api/shop",
        "",
        "*",
        "http://127.0.0.1:8437/api/shop",
        "/api/shop?a=%00",
        "/api/shop?a=%zz"};
    for (size_t i = 0; i < sizeof targets / sizeof *targets; i++)
        cr_expect_eq(ask(&s, "GET", targets[i], NULL), 400, "%s: %d", targets[i], s.r.status);
    static const char *const unknown[] = {
        "/api/kits/%252e%252e",      "/api/kits/shop", "/shop.yaml",
        "/api/kits/fire-ring.yaml",  "/etc/passwd",    "/assets/x",
        "/api/runs/x/files/run.json"};
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        cr_expect_eq(ask(&s, "GET", unknown[i], NULL), 404, "%s: %d", unknown[i], s.r.status);
    char *longer = malloc(KW_SERVER_MOST_TARGET + 2);
    memset(longer, 'a', KW_SERVER_MOST_TARGET + 1);
    longer[0] = '/';
    longer[KW_SERVER_MOST_TARGET + 1] = 0;
    cr_expect_eq(ask(&s, "GET", longer, NULL), 400);
    free(longer);
    cr_expect_eq(ask(&s, "GET", "/api/kits/fire%2dring", NULL), 200, "a plain name in escapes");
    cr_expect_eq(ask(&s, "GET", "/a/b/c/d/e/f/g/h/i/j/k/l/m/n", NULL), 400, "too many segments");
    close_shop(&s);
}

static void link_to(const struct shop *s, const char *to, const char *name) {
    cr_assert_eq(symlink(to, shop_file(s, name)), 0, "%s: %s", name, strerror(errno));
}

Test(server_paths, links_that_lead_out_are_not_followed) {
    struct shop s;
    char outside[] = "/tmp/kw-outside-XXXXXX", secret[64];
    open_shop(&s);
    cr_assert(mkdtemp(outside));
    snprintf(secret, sizeof secret, "%s/secret.yaml", outside);
    copy_file("demo/kits/fire-ring.yaml", secret);
    link_to(&s, secret, "kits/linked.yaml");
    link_to(&s, "/etc/passwd", "drawings/linked.dxf");
    link_to(&s, outside, "runs");
    char run[80], inner[96];
    snprintf(run, sizeof run, "%s/x", outside);
    snprintf(inner, sizeof inner, "%s/run.json", run);
    cr_assert_eq(kw_make_folder(run, NULL), KW_OK);
    cr_assert_eq(kw_write_file(inner, "{\"date\": \"2026-11-30\"}", 22, NULL), KW_OK);
    cr_expect_eq(ask(&s, "GET", "/api/kits/linked", NULL), 403);
    cr_expect_eq(ask(&s, "GET", "/api/drawings/linked.dxf", NULL), 403);
    cr_expect_eq(ask(&s, "GET", "/api/runs/x", NULL), 403);
    cr_expect_eq(ask(&s, "GET", "/api/runs/x/files/run.json", NULL), 403);
    cr_assert_eq(ask(&s, "GET", "/api/shop", NULL), 200);
    cr_expect_eq(json_array_size(json_object_get(s.json, "runs")), 0);
    size_t i;
    json_t *kit;
    json_array_foreach(json_object_get(s.json, "kits"), i, kit) {
        if (strcmp(text_at(kit, "kit"), "linked") != 0) continue;
        cr_expect(json_is_object(json_object_get(kit, "error")), "a linked kit is not read");
        cr_expect(json_is_null(json_object_get(kit, "title")));
    }
    // Writing through a link, or into a folder that is one, changes nothing outside.
    cr_expect_eq(ask_json(&s, "PUT", "/api/kits/linked",
                          json_pack("{ssss}", "text", file_text(&s, "kits/herb-box.yaml"), "was",
                                    "0000000000000000")),
                 409, "the text is another kit's");
    cr_assert_eq(ask(&s, "GET", "/api/kits/fire-ring", NULL), 200);
    char *hash = strdup(text_at(s.json, "hash"));
    cr_assert_eq(unlink(shop_file(&s, "kits/fire-ring.yaml")), 0);
    link_to(&s, secret, "kits/fire-ring.yaml");
    cr_expect_eq(
        ask_json(&s, "POST", "/api/kits/fire-ring/set",
                 json_pack("{s[ss]ssss}", "path", "name", "x", "value", "Gone", "was", hash)),
        403);
    char *text = strdup(file_text(&s, "kits/herb-box.yaml"));
    cr_expect_eq(ask_json(&s, "POST", "/api/runs", json_pack("{ss}", "name", "w")), 202);
    free(text);
    free(hash);
    struct stat st;
    for (int wait = 0; wait < 100; wait++) {
        ask(&s, "GET", "/api/shop", NULL);
        if (json_is_null(json_object_get(s.json, "job"))) break;
        usleep(50000);
    }
    snprintf(run, sizeof run, "%s/w", outside);
    cr_expect_neq(stat(run, &st), 0, "a run was written outside");
    close_shop(&s);
    kw_remove_folder(outside, NULL);
}

Test(server_paths, a_kit_cannot_name_a_drawing_outside) {
    struct shop s;
    char outside[] = "/tmp/kw-outside-XXXXXX", drawing[64];
    open_shop(&s);
    cr_assert(mkdtemp(outside));
    snprintf(drawing, sizeof drawing, "%s/rack-side.dxf", outside);
    copy_file("demo/drawings/rack-side.dxf", drawing);
    link_to(&s, outside, "drawings/more");
    link_to(&s, "rack-side.dxf", "drawings/same.dxf"); // inside is fine
    const char *flats[] = {"drawings/more/rack-side.dxf", "../rack-side.dxf", drawing,
                           "drawings/../../x.dxf"};
    for (size_t i = 0; i < 5; i++) {
        char text[512];
        snprintf(text, sizeof text,
                 "kit: k\nname: K\nunits: in\nparts:\n  p:\n    from: 14 ga hot-rolled sheet\n"
                 "    per_kit: 1\n    flat: %s\n",
                 i < 4 ? flats[i] : "drawings/same.dxf");
        cr_assert_eq(ask_json(&s, "POST", "/api/kits/k/look", json_pack("{ss}", "text", text)),
                     200);
        cr_expect_eq(json_is_object(json_object_get(s.json, "error")), i < 4, "%s",
                     i < 4 ? flats[i] : "inside");
    }
    // an ornament, in a folder of its own where the list of drawings doesn't look
    kw_make_folder(shop_file(&s, "drawings/sub"), NULL);
    link_to(&s, drawing, "drawings/sub/out.dxf");
    const char text[] =
        "kit: k\nname: K\nunits: in\nparts:\n  p:\n    from: 14 ga hot-rolled sheet\n"
        "    per_kit: 1\n    base: { long: 40, wide: 30 }\n    holes:\n"
        "      - { ornament: drawings/sub/out.dxf, from_left: 20, from_front: 15 }\n";
    cr_assert_eq(ask_json(&s, "POST", "/api/kits/k/look", json_pack("{ss}", "text", text)), 200);
    cr_expect_str_eq(text_at(json_object_get(s.json, "error"), "text"),
                     "leads out of the shop folder");
    kw_write_file(shop_file(&s, "kits/k.yaml"), text, sizeof text - 1, NULL);
    unlink(shop_file(&s, "drawings/more"));
    cr_expect_eq(ask(&s, "GET", "/api/kits/fire-ring/quote?effort=quick", NULL), 422);
    cr_expect_str_eq(text_at(s.json, "error"), "leads out of the shop folder");
    close_shop(&s);
    kw_remove_folder(outside, NULL);
}

Test(server_paths, names_of_new_files_are_plain) {
    struct shop s;
    open_shop(&s);
    const char *kits[] = {"../x", "a/b", ".x", "", "a b", "x.yaml", "a\\b", "CON:", "\xc3\xa4"};
    for (size_t i = 0; i < sizeof kits / sizeof *kits; i++)
        cr_expect_eq(ask_json(&s, "POST", "/api/kits",
                              json_pack("{ssss}", "kit", kits[i], "example", "plate")),
                     400, "%s", kits[i]);
    const char *froms[] = {"../shop", "../../etc/passwd", ".x", "a/../fire-ring"};
    for (size_t i = 0; i < sizeof froms / sizeof *froms; i++)
        cr_expect_eq(
            ask_json(&s, "POST", "/api/kits", json_pack("{ssss}", "kit", "x", "from", froms[i])),
            404, "%s", froms[i]);
    const char *drawings[] = {"x.txt", "dxf", "x.dxf.exe", "%e2%80%ae.dxf", "a:b.dxf"};
    for (size_t i = 0; i < sizeof drawings / sizeof *drawings; i++) {
        char target[128];
        snprintf(target, sizeof target, "/api/drawings/%s", drawings[i]);
        cr_expect_eq(ask(&s, "PUT", target, "x"), 400, "%s", drawings[i]);
    }
    const char *runs[] = {"../x", ".x", "a/b", "", "a b"};
    for (size_t i = 0; i < sizeof runs / sizeof *runs; i++)
        cr_expect_eq(ask_json(&s, "POST", "/api/runs", json_pack("{ss}", "name", runs[i])), 400,
                     "%s", runs[i]);
    close_shop(&s);
}
