/* The workbench over raw HTTP: a plan saved and fought over, a sky, a card judged with its events, and attacks. */
#include "serve/workbench.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <jansson.h>

#include "core/model/sky_blob.h"
#include "image/jpeg.h"
#include "serve/client.h"
#include "support/card_room.h"
#include "support/check.h"
#include "support/made_card.h"

#define FRAMES 12
#define DIPPER OWL_TEST_DATA "/../../examples/dipper.plan"
#define PLAN "a.plan"
#define COUNT(list) (sizeof(list) / sizeof(list)[0])

static const unsigned char page[] = "<!doctype html>";
static const struct owl_asset assets[] = {{"/", "text/html; charset=utf-8", "\"1\"", page, sizeof page - 1, NULL, NULL, 0}};
static const struct owl_asset_table table = {assets, 1};

static char answer[ROOM_ANSWER_BYTES];
static struct room room; /* only its port and key are used */
static struct owl_workbench *bench;

/* ---- the workbench and what is asked of it ---- */

static void start(const char *plan, const char *card)
{
    char address[OWL_SERVER_ADDRESS_BYTES], book[256], file[256], folder[256];
    struct owl_error note = {{0}}, error = {{0}};
    snprintf(book, sizeof book, "%s", card_room_path("book"));
    snprintf(file, sizeof file, "%s", card_room_path(plan ? plan : ""));
    snprintf(folder, sizeof folder, "%s", card_room_path(card ? card : ""));
    const struct owl_workbench_options options = {.plan = plan ? file : NULL, .card = card ? folder : NULL, .book = book,
                                                  .assets = &table};
    memset(&room, 0, sizeof room);
    if (owl_workbench_start(&options, &bench, &note, &error) != OWL_OK)
        fail_msg("%s", error.words);
    assert_string_equal(note.words, "");
    room.port = owl_workbench_port(bench);
    assert_int_equal(owl_workbench_address(bench, address, &error), OWL_OK);
    assert_int_equal(client_ask(&room, "GET", strchr(address + 7, '/'), "", "", answer), 303);
    const char *cookie = strstr(answer, "Set-Cookie: ") + strlen("Set-Cookie: ");
    memcpy(room.cookie, cookie, strcspn(cookie, ";"));
}

static int get(const char *path)
{
    return client_ask_keyed(&room, "GET", path, "", "", answer);
}

static int post(const char *path, const char *body)
{
    char fields[128];
    snprintf(fields, sizeof fields, "Content-Type: application/json\r\nContent-Length: %zu\r\n", strlen(body));
    return client_ask_keyed(&room, "POST", path, fields, body, answer);
}

static void check_status(const char *what, int actual, int wanted)
{
    if (actual != wanted)
        fail_msg("%s: %d, not %d: %.400s", what, actual, wanted, answer);
}

/* The answer's JSON, for json_decref. */
static json_t *told(void)
{
    json_error_t met;
    json_t *root = json_loads(answer_body(answer), 0, &met);
    if (!root)
        fail_msg("no JSON: %s in %.300s", met.text, answer_body(answer));
    return root;
}

static int post_plan(const char *text, const char *stamp)
{
    json_t *root = json_pack("{s:s,s:s}", "text", text, "stamp", stamp);
    char *body = json_dumps(root, 0);
    int status = post("/api/plan", body);
    free(body);
    json_decref(root);
    return status;
}

/* A member's words of the last answer, until the next call. */
static const char *member(const char *name)
{
    static char words[8192];
    json_t *root = told();
    const char *found = json_string_value(json_object_get(root, name));
    snprintf(words, sizeof words, "%s", found ? found : "(none)");
    json_decref(root);
    return words;
}

static void write_file(const char *name, const char *words)
{
    FILE *file = fopen(card_room_path(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(words, 1, strlen(words), file), strlen(words));
    fclose(file);
}

static unsigned mode_of(const char *name)
{
    struct stat about;
    assert_int_equal(stat(card_room_path(name), &about), 0);
    return about.st_mode & 07777;
}

/* ---- the plan ---- */

/* identity: what is saved is what is read again; the file before it stands beside it, with the same mode, and nothing else */
static void test_workbench_plan_saved(void **state)
{
    char stamp[64];
    (void)state;
    write_file(PLAN, "first \xc3\xa9\n");
    assert_int_equal(chmod(card_room_path(PLAN), 0640), 0);
    start(PLAN, NULL);
    check_status("read", get("/api/plan"), 200);
    assert_string_equal(member("text"), "first \xc3\xa9\n");
    assert_string_equal(member("name"), PLAN);
    snprintf(stamp, sizeof stamp, "%s", member("stamp"));
    check_status("saved", post_plan("second\n", stamp), 200);
    assert_string_not_equal(member("stamp"), stamp);
    snprintf(stamp, sizeof stamp, "%s", member("stamp"));
    assert_string_equal(card_room_text(PLAN), "second\n");
    assert_string_equal(card_room_text(PLAN "~"), "first \xc3\xa9\n");
    assert_int_equal(mode_of(PLAN), 0640);
    assert_int_equal(mode_of(PLAN "~"), 0640);
    check_status("again", post_plan("third\n", stamp), 200);
    assert_string_equal(card_room_text(PLAN "~"), "second\n");
    check_status("the same", post_plan("third\n", member("stamp")), 200);
    assert_string_equal(card_room_text(PLAN "~"), "second\n");
    owl_workbench_stop(bench);
    unlink(card_room_path("book/book.sqlite"));
    assert_int_equal(card_room_count(""), 2);
}

/* fault: the file was changed by another hand: nothing is written, and what is there now is told */
static void test_workbench_plan_conflict(void **state)
{
    char stamp[64];
    (void)state;
    write_file(PLAN, "first\n");
    start(PLAN, NULL);
    check_status("read", get("/api/plan"), 200);
    snprintf(stamp, sizeof stamp, "%s", member("stamp"));
    write_file(PLAN, "theirs\n");
    check_status("conflict", post_plan("ours\n", stamp), 409);
    assert_string_equal(member("text"), "theirs\n");
    assert_string_equal(card_room_text(PLAN), "theirs\n");
    assert_false(card_room_has(PLAN "~"));
    check_status("settled", post_plan("ours\n", member("stamp")), 200);
    assert_string_equal(card_room_text(PLAN), "ours\n");
    owl_workbench_stop(bench);
}

/* fault: the file vanished meanwhile: told as a conflict with nothing, and written anew when that is known */
static void test_workbench_plan_vanished(void **state)
{
    char stamp[64];
    (void)state;
    write_file(PLAN, "first\n");
    start(PLAN, NULL);
    check_status("read", get("/api/plan"), 200);
    snprintf(stamp, sizeof stamp, "%s", member("stamp"));
    unlink(card_room_path(PLAN));
    check_status("vanished", post_plan("ours\n", stamp), 409);
    assert_string_equal(member("text"), "");
    assert_string_equal(member("stamp"), "");
    assert_false(card_room_has(PLAN));
    check_status("anew", post_plan("ours\n", ""), 200);
    assert_string_equal(card_room_text(PLAN), "ours\n");
    assert_false(card_room_has(PLAN "~"));
    owl_workbench_stop(bench);
}

/* fault: a link stays a link; what is read-only, and what stands in the backup's place, is left alone */
static void test_workbench_plan_odd_files(void **state)
{
    char stamp[64];
    struct stat about;
    (void)state;
    write_file("real.plan", "first\n");
    assert_int_equal(symlink("real.plan", card_room_path(PLAN)), 0);
    start(PLAN, NULL);
    check_status("read", get("/api/plan"), 200);
    check_status("link", post_plan("second\n", member("stamp")), 200);
    snprintf(stamp, sizeof stamp, "%s", member("stamp"));
    assert_int_equal(lstat(card_room_path(PLAN), &about), 0);
    assert_true(S_ISLNK(about.st_mode));
    assert_string_equal(card_room_text("real.plan"), "second\n");
    assert_string_equal(card_room_text("real.plan~"), "first\n");
    assert_int_equal(chmod(card_room_path("real.plan"), 0444), 0);
    check_status("read-only", post_plan("third\n", stamp), 500);
    assert_non_null(strstr(member("error"), "read-only"));
    assert_string_equal(card_room_text("real.plan"), "second\n");
    assert_int_equal(chmod(card_room_path("real.plan"), 0644), 0);
    unlink(card_room_path("real.plan~"));
    assert_int_equal(symlink("elsewhere", card_room_path("real.plan~")), 0);
    check_status("backup is a link", post_plan("third\n", stamp), 500);
    assert_string_equal(card_room_text("real.plan"), "second\n");
    assert_false(card_room_has("elsewhere"));
    owl_workbench_stop(bench);
}

/* fault: requests that are wrong, too large, or for a plan that cannot be */
static void test_workbench_plan_refused(void **state)
{
    (void)state;
    write_file(PLAN, "not UTF-8: \xff\n");
    start(PLAN, NULL);
    check_status("no text", get("/api/plan"), 422);
    check_status("no stamp", post("/api/plan", "{\"text\":\"x\"}"), 400);
    check_status("no object", post("/api/plan", "[1]"), 400);
    check_status("no JSON", post("/api/plan", "{"), 400);
    check_status("too large", client_ask_keyed(&room, "POST", "/api/plan",
                 "Content-Type: application/json\r\nContent-Length: 99999999\r\n", "", answer), 413);
    check_status("without the key", client_ask(&room, "GET", "/api/plan", "", "", answer), 403);
    owl_workbench_stop(bench);
    start(NULL, NULL);
    check_status("none", get("/api/plan"), 200);
    check_status("nowhere to", post_plan("x", ""), 404);
    owl_workbench_stop(bench);
}

/* identity: the sky of a plan comes as bytes the core reads; fault: a plan without one is told why */
static void test_workbench_sky(void **state)
{
    static struct owl_sky_row rows[OWL_SKY_BLOB_ROWS_MOST];
    static char plan[16384], all[1 << 20];
    struct owl_sky_blob blob;
    (void)state;
    FILE *file = fopen(DIPPER, "rb");
    assert_non_null(file);
    plan[fread(plan, 1, sizeof plan - 1, file)] = '\0';
    fclose(file);
    start(NULL, NULL);
    json_t *root = json_pack("{s:s}", "text", plan);
    char *body = json_dumps(root, 0), *request = malloc(strlen(body) + 1024);
    int length = sprintf(request, "POST /api/sky HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\nCookie: %s\r\n"
                         "Origin: http://127.0.0.1:%d\r\nContent-Type: application/json\r\nContent-Length: %zu\r\n\r\n%s",
                         room.port, room.cookie, room.port, strlen(body), body);
    int socket = client_connect(room.port);
    assert_true(client_send(socket, request, (size_t)length));
    size_t got = client_read(socket, all, sizeof all, NULL);
    close(socket);
    const char *bytes = answer_body(all);
    assert_int_equal(owl_sky_blob_read((const uint8_t *)bytes, got - (size_t)(bytes - all), rows, &blob), OWL_OK);
    assert_true(blob.sky.nights > 0);
    check_status("unsound", post("/api/sky", "{\"text\":\"[site]\\nlatitude = never\\n\"}"), 422);
    check_status("no text", post("/api/sky", "{\"text\":7}"), 400);
    owl_workbench_stop(bench);
    free(request);
    free(body);
    json_decref(root);
}

/* ---- the card ---- */

static void make_card(void)
{
    struct made_card_wish wish = made_card_usual(DIPPER, 5, FRAMES);
    struct made_card_trouble trouble;
    wish.width = 384;
    wish.height = 256;
    wish.visited = 0.5;
    wish.blades = 20;
    if (made_card(&wish, card_room_path("card"), NULL, NULL, &trouble) != OWL_OK)
        fail_msg("%s", trouble.words);
}

static int listen_to_events(void)
{
    char request[512];
    int length = snprintf(request, sizeof request, "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n\r\n",
                          room.port, room.cookie);
    int socket = client_connect(room.port);
    assert_true(client_send(socket, request, (size_t)length));
    client_read(socket, answer, sizeof answer, "\r\n\r\n");
    return socket;
}

/* Asks for a job and hears it out; its last event is then in `answer`. */
static void run_job(const char *path, const char *body, const char *wanted)
{
    static char heard[ROOM_ANSWER_BYTES];
    int socket = listen_to_events();
    check_status(path, post(path, body), 202);
    size_t length = 0;
    do {
        size_t got = client_read(socket, heard + length, sizeof heard - length, "\n\n");
        assert_true(got > 0);
        length += got;
    } while (strstr(heard, "event: done") == NULL);
    if (strstr(heard, wanted) == NULL)
        fail_msg("%s: no %s in %s", path, wanted, heard);
    close(socket);
}

static char *folder_body(const char *name)
{
    static char body[512];
    snprintf(body, sizeof body, "{\"folder\":\"%s\",\"flashes\":null,\"again\":false}", card_room_path(name));
    return body;
}

/* The verdict and the user's mark of a frame of the open card. */
static bool frame_is(int number, const char *verdict, bool corrected)
{
    bool same = false;
    json_t *root = told();
    const json_t *frames = json_object_get(root, "frames");
    for (size_t i = 0; i < json_array_size(frames); i++) {
        const json_t *frame = json_array_get(frames, i);
        if (json_integer_value(json_object_get(frame, "n")) == number)
            same = strcmp(json_string_value(json_object_get(frame, "verdict")), verdict) == 0 &&
                   json_is_true(json_object_get(frame, "corrected")) == corrected;
    }
    json_decref(root);
    return same;
}

static void check_picture(const char *path, int wide)
{
    struct owl_jpeg_size size;
    check_status(path, get(path), 200);
    const char *bytes = answer_body(answer), *length = strstr(answer, "Content-Length: ");
    assert_non_null(length);
    assert_int_equal(owl_jpeg_size_of((const uint8_t *)bytes, strtoul(length + 16, NULL, 10), &size), OWL_OK);
    assert_int_equal(size.width, wide);
}

/* identity: a made card comes home, is judged with events, told, shown, corrected for good and written out */
static void test_workbench_card(void **state)
{
    char body[1024];
    (void)state;
    make_card();
    start(NULL, NULL);
    check_status("none open", get("/api/card"), 404);
    char home[256];
    snprintf(home, sizeof home, "%s", card_room_path("home"));
    snprintf(body, sizeof body, "{\"card\":\"%s\",\"to\":\"%s\",\"watch\":null}", card_room_path("card"), home);
    run_job("/api/pull", body, "\"exit\":0");
    assert_int_equal(card_room_count("home"), FRAMES + 1);
    run_job("/api/judge", folder_body("home"), "\"job\":\"judge\",\"exit\":0");
    check_status("card", get("/api/card"), 200);
    json_t *root = told();
    assert_int_equal(json_array_size(json_object_get(root, "frames")), FRAMES);
    assert_true(json_is_null(json_object_get(root, "observed")));
    assert_int_equal(json_array_size(json_object_get(json_object_get(root, "ledger"), "rows")), 5);
    json_decref(root);
    check_picture("/api/small/3", 384);
    check_picture("/api/frame/3", 384);
    check_status("working", get("/api/working/0"), 200);
    check_status("corrected", post("/api/correct", "{\"frame\":2,\"verdict\":\"look\"}"), 200);
    assert_true(frame_is(2, "look", true));
    check_status("health", get("/api/health"), 200);
    root = told();
    assert_int_equal(json_array_size(json_object_get(root, "hours")), 24);
    json_decref(root);
    check_status("sidecars", post("/api/sidecars", "{}"), 200);
    assert_string_equal(member("words"), "12 sidecars written");
    snprintf(body, sizeof body, "{\"file\":\"%s\"}", card_room_path("contact.html"));
    check_status("contact", post("/api/contact", body), 200);
    check_status("contact again", post("/api/contact", body), 422);
    check_status("cards", get("/api/cards"), 200);
    root = told();
    assert_true(json_is_true(json_object_get(json_array_get(json_object_get(root, "cards"), 0), "pulled")));
    json_decref(root);
    assert_false(owl_workbench_stop(bench));
    start(NULL, "home"); /* out of the book, with the user's word */
    for (int i = 0; i < 200 && get("/api/card") != 200; i++)
        client_pause(20);
    assert_true(frame_is(2, "look", true));
    owl_workbench_stop(bench);
}

/* fault: numbers that are no frame's, folders that are none, words that are no verdict, a card that is no copy */
static void test_workbench_card_attacked(void **state)
{
    static const char *const paths[] = {"/api/small/12", "/api/frame/999999999", "/api/working/12", "/api/small/-1",
                                        "/api/small/01", "/api/small/../plan", "/api/small/%30", "/api/small/",
                                        "/api/small/9999999999"};
    static const struct { const char *path, *body; int status; } posts[] = {
        {"/api/correct", "{\"frame\":12,\"verdict\":\"empty\"}", 404},
        {"/api/correct", "{\"frame\":-1,\"verdict\":\"empty\"}", 404},
        {"/api/correct", "{\"frame\":9223372036854775807,\"verdict\":\"empty\"}", 404},
        {"/api/correct", "{\"frame\":\"1\",\"verdict\":\"empty\"}", 400},
        {"/api/correct", "{\"frame\":1,\"verdict\":\"fine\"}", 400},
        {"/api/judge", "{\"folder\":\"/nowhere/at/all\"}", 422}, {"/api/judge", "{\"folder\":\"\"}", 400},
        {"/api/judge", "{\"folder\":\"/tmp\",\"flashes\":-3}", 400}, {"/api/judge", "{\"folder\":7}", 400},
        {"/api/pull", "{\"card\":\"/nowhere\",\"to\":\"/tmp/x\"}", 422}, {"/api/pull", "{\"card\":\"/tmp\"}", 400},
        {"/api/contact", "{\"file\":\"/nowhere/at/all.html\"}", 422}, {"/api/contact", "{}", 400},
        {"/api/sidecars", "{}", 422}};
    (void)state;
    make_card();
    start(NULL, NULL);
    check_status("nothing open", get("/api/small/0"), 404);
    run_job("/api/judge", folder_body("card"), "\"exit\":0");
    for (size_t i = 0; i < COUNT(paths); i++)
        check_status(paths[i], get(paths[i]), 404);
    for (size_t i = 0; i < COUNT(posts); i++)
        check_status(posts[i].body, post(posts[i].path, posts[i].body), posts[i].status);
    write_file("PLAIN", "no folder");
    check_status("a file", post("/api/judge", folder_body("PLAIN")), 422);
    assert_int_equal(mkdir(card_room_path("empty"), 0777), 0);
    run_job("/api/judge", folder_body("empty"), "\"exit\":2");
    check_status("still open", get("/api/small/0"), 200);
    char renamed[256];
    snprintf(renamed, sizeof renamed, "%s", card_room_path("card/ANOTHER.JPG"));
    assert_int_equal(rename(card_room_path("card/IMG_0001.JPG"), renamed), 0);
    check_status("gone", get("/api/small/0"), 404);
    owl_workbench_stop(bench);
}

/* identity: one job at a time; a stop ends it early, and the workbench does not wait for its end */
static void test_workbench_job_stopped(void **state)
{
    (void)state;
    make_card();
    start(NULL, NULL);
    check_status("begun", post("/api/judge", folder_body("card")), 202);
    int second = post("/api/judge", folder_body("card"));
    if (second != 409)
        check_status("second", second, 202); /* the first was quicker */
    check_status("stop", post("/api/stop", "{}"), 202);
    owl_workbench_stop(bench);
    start(NULL, "card");
    (void)owl_workbench_stop(bench);
}

/* fault: what cannot begin leaves nothing behind */
static void test_workbench_cannot_start(void **state)
{
    struct owl_error note = {{0}}, error = {{0}};
    struct owl_workbench *none = NULL;
    struct owl_workbench_options options = {.card = "/nowhere/at/all", .no_book = true, .assets = &table};
    (void)state;
    assert_int_equal(owl_workbench_start(&options, &none, &note, &error), OWL_CANNOT_READ);
    assert_non_null(strstr(error.words, "no such folder"));
    options = (struct owl_workbench_options){.book = "/dev/null", .assets = &table};
    assert_int_not_equal(owl_workbench_start(&options, &none, &note, &error), OWL_OK);
    start(NULL, NULL);
    options = (struct owl_workbench_options){.no_book = true, .port = room.port, .assets = &table};
    assert_int_equal(owl_workbench_start(&options, &none, &note, &error), OWL_BAD_USE);
    assert_null(none);
    owl_workbench_stop(bench);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, card_room_setup, card_room_teardown)
    const struct CMUnitTest tests[] = {
        TEST(test_workbench_plan_saved),    TEST(test_workbench_plan_conflict),  TEST(test_workbench_plan_vanished),
        TEST(test_workbench_plan_odd_files), TEST(test_workbench_plan_refused),  TEST(test_workbench_sky),
        TEST(test_workbench_card),          TEST(test_workbench_card_attacked), TEST(test_workbench_job_stopped),
        TEST(test_workbench_cannot_start),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
