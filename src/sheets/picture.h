/* picture.h - isometric drawings of placed parts, hidden edges left out, with
 * marks that do not overlap. */
#ifndef GW_SHEETS_PICTURE_H
#define GW_SHEETS_PICTURE_H

#include "sheets/sheets.h"

typedef struct gw_picture {
  const int *parts;   /* shown; NULL: all of them */
  int n_parts;
  const int *moved;   /* of these: drawn pulled away, with an arrow showing the way in */
  int n_moved;
  gw_vec way;         /* in which they go in */
  bool letters;       /* part letters */
  bool plain_only;    /* of letters, those whose part shows enough of itself to take one */
  const bool *lettered; /* for each part of the model: has its letter; NULL: all */
  const int *joints;  /* joint numbers shown; NULL: none */
  int n_joints;
} gw_picture;

/* Draws the parts as large as the area allows.  Nothing when the parts have no
 * places. */
void gw_picture_draw(gw_page *page, gw_area area, const gw_sheets_job *job,
                     const gw_picture *picture);

#endif
