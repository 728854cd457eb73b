/* What a baseline JPEG says before its scan, made ready for reading the scan. Private to src/image. */
#ifndef OWL_IMAGE_JPEG_COARSE_HEAD_H
#define OWL_IMAGE_JPEG_COARSE_HEAD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define OWL_JPEG_COMPONENTS_MOST 3
#define OWL_JPEG_TABLES 2        /* of each class in a baseline file */
#define OWL_JPEG_QUANTISERS 4
#define OWL_JPEG_BLOCKS_MOST 10  /* in one MCU [t81 B.2.3] */
#define OWL_JPEG_COEFFICIENTS 64
#define OWL_JPEG_LENGTH_MOST 16  /* bits of a code */
#define OWL_JPEG_RUN_OF_ZEROS 15 /* sixteen of them, when no value follows; with no zeros either: end of block */

/* Codes of up to so many bits are found by one look into a table; all but a few in real files. */
#define OWL_JPEG_LOOK 12
#define OWL_JPEG_WINDOWS (1u << OWL_JPEG_LOOK)

enum owl_jpeg_marker {
    OWL_JPEG_SOF0 = 0xC0, OWL_JPEG_SOF1 = 0xC1, OWL_JPEG_DHT = 0xC4, OWL_JPEG_RST0 = 0xD0, OWL_JPEG_SOI = 0xD8,
    OWL_JPEG_EOI = 0xD9, OWL_JPEG_SOS = 0xDA, OWL_JPEG_DQT = 0xDB, OWL_JPEG_DRI = 0xDD, OWL_JPEG_APP0 = 0xE0,
    OWL_JPEG_APP14 = 0xEE, OWL_JPEG_APP15 = 0xEF, OWL_JPEG_COM = 0xFE,
};

struct owl_jpeg_span {
    const uint8_t *at, *end;
};

/* Codes in the order of their lengths, so also of their values. */
struct owl_jpeg_codes {
    bool defined;
    uint16_t short_code[OWL_JPEG_WINDOWS];    /* symbol << 8 | length, by the bits to come; 0: a longer code, or none */
    uint32_t limit[OWL_JPEG_LENGTH_MOST + 1]; /* beyond the last code of the length, as the first of 16 bits */
    int first[OWL_JPEG_LENGTH_MOST + 1];      /* place of the length's first symbol, less its first code */
    uint8_t symbol[256];
};

/* A skip is what the AC codes pass over that are whole within the bits to come: so many coefficients and, below them, so many
   bits of codes and values. */
#define OWL_JPEG_SKIP_SHIFT 5
#define OWL_JPEG_SKIP_BITS 31u
#define OWL_JPEG_BLOCK_ENDS 128u /* added to the coefficients where the last code ends the block */
#define OWL_JPEG_NO_SKIP 1024u   /* coefficients where there is no such code */

struct owl_jpeg_component {
    int id, across, down; /* blocks in an MCU */
    int quantiser, dc, ac;
};

struct owl_jpeg_coarse_head {
    struct owl_jpeg_span file;
    int width, height;                           /* in pixels of the file; 0: no frame header yet */
    int components;
    struct owl_jpeg_component component[OWL_JPEG_COMPONENTS_MOST];
    unsigned int quantiser[OWL_JPEG_QUANTISERS]; /* of DC; 0: not defined */
    int restart_interval;                        /* MCUs; 0: no restarts */
    struct owl_jpeg_codes dc[OWL_JPEG_TABLES], ac[OWL_JPEG_TABLES];
    uint16_t skip[OWL_JPEG_TABLES][OWL_JPEG_WINDOWS];
};

/* The next marker's code, any number of fill bytes before it passed over [t81 B.1.1.2]. 0: there is none right here. */
unsigned int owl_jpeg_take_marker(struct owl_jpeg_span *file);

/* Reads up to the scan's data; file.at is then its first byte. `head` is all zero but for its file. False: not a file for the
   coarse decoder (owl_jpeg_coarse tells which are), or any inconsistency. */
bool owl_jpeg_coarse_head_read(struct owl_jpeg_coarse_head *head);

#endif
