/* An XMP packet out of plain words. */
#include "sheet/sidecar.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "sheet/clean.h"
#include "sheet/moment.h"

#define REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD */
#define SHARE_DECIMALS 4           /* finer than a pixel of any small picture */

/* ---- words ---- */

/* The characters of XML 1.0; a line end would be a blank to its readers. */
static bool stands_in_xml(struct owl_character character)
{
    return character.bytes > 0 && character.code >= 0x20 && character.code != 0xFFFE && character.code != 0xFFFF;
}

static void write_words(struct owl_text *text, const char *words)
{
    while (*words) {
        struct owl_character character = owl_clean_character(words);
        size_t bytes = character.bytes > 0 ? character.bytes : 1;
        char one[5] = REPLACEMENT;
        if (stands_in_xml(character)) {
            memcpy(one, words, bytes);
            one[bytes] = '\0';
        }
        owl_text_markup(text, one);
        words += bytes;
    }
}

/* ---- properties ---- */

static void open_property(struct owl_text *text, const char *name)
{
    owl_text_words(text, "   <");
    owl_text_words(text, name);
    owl_text_char(text, '>');
}

static void close_property(struct owl_text *text, const char *name)
{
    owl_text_words(text, "</");
    owl_text_words(text, name);
    owl_text_words(text, ">\n");
}

static void write_keyword(struct owl_text *text, const char *words)
{
    if (!words[0])
        return;
    owl_text_words(text, "     <rdf:li>");
    write_words(text, words);
    owl_text_words(text, "</rdf:li>\n");
}

static void write_visit_keywords(const struct owl_sidecar *sidecar, struct owl_text *text)
{
    char words[32];
    struct owl_text keyword = owl_text_over(words, sizeof words);
    if (sidecar->visit > 0) {
        owl_text_words(&keyword, "visit ");
        owl_text_integer(&keyword, sidecar->visit);
        write_keyword(text, words);
        write_keyword(text, sidecar->best ? "best of visit" : "");
    }
    keyword = owl_text_over(words, sizeof words);
    owl_moment_date(sidecar->night_days, &keyword);
    if (keyword.length > 0) {
        owl_text_words(text, "     <rdf:li>night ");
        owl_text_words(text, words);
        owl_text_words(text, "</rdf:li>\n");
    }
}

static void write_keywords(const struct owl_sidecar *sidecar, struct owl_text *text)
{
    open_property(text, "dc:subject");
    owl_text_words(text, "\n    <rdf:Bag>\n");
    write_keyword(text, "owllight");
    write_keyword(text, sidecar->verdict);
    for (int i = 0; i < sidecar->word_count; i++)
        write_keyword(text, sidecar->words[i]);
    write_visit_keywords(sidecar, text);
    owl_text_words(text, "    </rdf:Bag>\n   ");
    close_property(text, "dc:subject");
}

static void write_times(const struct owl_sidecar *sidecar, struct owl_text *text)
{
    if (owl_moment_known(sidecar->judged_unix_s)) {
        open_property(text, "xmp:MetadataDate");
        owl_moment_iso(sidecar->judged_unix_s, text);
        owl_text_char(text, 'Z');
        close_property(text, "xmp:MetadataDate");
    }
    if (owl_moment_known(sidecar->taken_s)) {
        open_property(text, "photoshop:DateCreated");
        owl_moment_iso(sidecar->taken_s, text);
        close_property(text, "photoshop:DateCreated");
    }
}

/* ---- our own ---- */

static void write_side(struct owl_text *text, const char *name, double share)
{
    owl_text_words(text, " owl:");
    owl_text_words(text, name);
    owl_text_words(text, "=\"");
    owl_text_fixed(text, share > 0.0 ? fmin(share, 1.0) : 0.0, SHARE_DECIMALS);
    owl_text_char(text, '"');
}

static void write_boxes(const struct owl_sidecar *sidecar, struct owl_text *text)
{
    if (sidecar->boxes <= 0)
        return;
    open_property(text, "owl:boxes");
    owl_text_words(text, "\n    <rdf:Seq>\n");
    for (int i = 0; i < sidecar->boxes; i++) {
        owl_text_words(text, "     <rdf:li><rdf:Description");
        write_side(text, "left", sidecar->box[i].left);
        write_side(text, "top", sidecar->box[i].top);
        write_side(text, "right", sidecar->box[i].right);
        write_side(text, "bottom", sidecar->box[i].bottom);
        owl_text_words(text, "/></rdf:li>\n");
    }
    owl_text_words(text, "    </rdf:Seq>\n   ");
    close_property(text, "owl:boxes");
}

static void write_verdict(const struct owl_sidecar *sidecar, struct owl_text *text)
{
    open_property(text, "owl:verdict");
    write_words(text, sidecar->verdict);
    close_property(text, "owl:verdict");
    if (isfinite(sidecar->score)) {
        open_property(text, "owl:score");
        owl_text_fixed(text, sidecar->score, 0);
        close_property(text, "owl:score");
    }
    write_boxes(sidecar, text);
}

/* ---- the packet ---- */

void owl_sidecar_write(const struct owl_sidecar *sidecar, struct owl_text *text)
{
    owl_text_words(text, "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
                         "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
                         " <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
                         "  <rdf:Description rdf:about=\"\"\n"
                         "    xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n"
                         "    xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n"
                         "    xmlns:photoshop=\"http://ns.adobe.com/photoshop/1.0/\"\n"
                         "    xmlns:owl=\"" OWL_SIDECAR_NAMES "\">\n");
    open_property(text, "xmp:Rating");
    owl_text_integer(text, (int64_t)sidecar->rank);
    close_property(text, "xmp:Rating");
    open_property(text, "xmp:CreatorTool");
    owl_text_words(text, "owllight");
    close_property(text, "xmp:CreatorTool");
    write_times(sidecar, text);
    write_keywords(sidecar, text);
    write_verdict(sidecar, text);
    owl_text_words(text, "  </rdf:Description>\n </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>\n");
}

void owl_sidecar_name(const char *picture, struct owl_text *name)
{
    const char *slash = strrchr(picture, '/'), *own = slash ? slash + 1 : picture, *point = strrchr(own, '.');
    size_t kept = point && point > own ? (size_t)(point - picture) : strlen(picture);
    owl_text_bytes(name, picture, kept);
    owl_text_words(name, ".xmp");
}
