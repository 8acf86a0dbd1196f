/* follow_draw.h - the screen of `follow`. */
#ifndef GW_CLI_FOLLOW_DRAW_H
#define GW_CLI_FOLLOW_DRAW_H

#include "cli/following.h"

/* Draws the whole screen, `width` columns wide, as of now. */
void gw_follow_draw(const gw_following *f, int64_t now_ms, int width, FILE *out);

#endif
