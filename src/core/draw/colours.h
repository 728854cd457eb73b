/* The colours of all drawings: each named once, for light paper and for a dark screen. Private to core/draw.

   A colour is written three ways: for programs without custom properties, by name for the page around the drawing, and by
   our own light and dark sets. */
#ifndef OWL_CORE_DRAW_COLOURS_H
#define OWL_CORE_DRAW_COLOURS_H

#define OWL_PAPER "#fcfbf7"
#define OWL_INK "#262b24"
#define OWL_FAINT "#6b7065"
#define OWL_FRAME "#3f6f94"
#define OWL_SHARP "#2e8b67"
#define OWL_SENSOR "#8a4a86"
#define OWL_FLASH "#b9801c"
#define OWL_PATH "#8c6d4f"
#define OWL_SPREAD "#a8432f"
#define OWL_DAY "#e3e2d8"
#define OWL_NIGHT "#20251f"

#define OWL_PAPER_DARK "#161a17"
#define OWL_INK_DARK "#e7e9e1"
#define OWL_FAINT_DARK "#9aa196"
#define OWL_FRAME_DARK "#7fb2da"
#define OWL_SHARP_DARK "#5cc79b"
#define OWL_SENSOR_DARK "#cf93cb"
#define OWL_FLASH_DARK "#e6b557"
#define OWL_PATH_DARK "#b89a7a"
#define OWL_SPREAD_DARK "#f08a75"
#define OWL_DAY_DARK "#8b9287"
#define OWL_NIGHT_DARK "#050605"

/* A colour of a drawing of `kind` by its name, which a page may set as --owl-name. */
#define OWL_COLOUR(kind, name, value) "--" kind "-" name ":var(--owl-" name "," value ")"

/* What every kind of drawing has; a semicolon ends it. */
#define OWL_COLOURS_LIGHT(kind)                                                                             \
    OWL_COLOUR(kind, "paper", OWL_PAPER) ";" OWL_COLOUR(kind, "ink", OWL_INK) ";"                           \
    OWL_COLOUR(kind, "faint", OWL_FAINT) ";" OWL_COLOUR(kind, "frame", OWL_FRAME) ";"                       \
    OWL_COLOUR(kind, "sharp", OWL_SHARP) ";" OWL_COLOUR(kind, "sensor", OWL_SENSOR) ";"
#define OWL_COLOURS_DARK(kind)                                                                              \
    OWL_COLOUR(kind, "paper", OWL_PAPER_DARK) ";" OWL_COLOUR(kind, "ink", OWL_INK_DARK) ";"                 \
    OWL_COLOUR(kind, "faint", OWL_FAINT_DARK) ";" OWL_COLOUR(kind, "frame", OWL_FRAME_DARK) ";"             \
    OWL_COLOUR(kind, "sharp", OWL_SHARP_DARK) ";" OWL_COLOUR(kind, "sensor", OWL_SENSOR_DARK) ";"

/* A property by a drawing's colour, with its light value for programs that know no names. */
#define OWL_PAINT(kind, property, light, name) property ":" light ";" property ":var(--" kind "-" name ");"

#endif
