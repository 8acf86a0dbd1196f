#include "order/order.h"

#include <stdlib.h>
#include <string.h>

#include "order/apart.h"
#include "order/split.h"

enum { LUMP = INT32_MIN };

/* What is gathered for the split problem; arrays live in the arena. */
typedef struct posing {
  const gw_model *m;
  const gw_fit *fit;
  const gw_marks *marks;
  gw_findings *findings;
  gw_blocking blocking;
  gw_split_problem problem;
  bool *slides; /* which joints may slide along their faces */
  int *wish_source; /* which wish of the file each wish of the problem is; -1 - g:
                     * that group g goes first; LUMP: see pose_lumps */
  const gw_order_options *options;
  bool stopped; /* the options' stop said so */
  gw_arena *arena;
} posing;

/* ---- words ------------------------------------------------------------------------ */

char *gw_way_words(gw_vec way, char *buffer, size_t size) {
  static const char *const words[3][2] = {
      {"to the left", "to the right"}, {"to the front", "to the back"}, {"down", "up"}};
  size_t used = 0;
  buffer[0] = '\0';
  for (int axis = 2; axis >= 0; --axis) {
    if (way.c[axis] == 0) continue;
    int n = snprintf(buffer + used, size - used, "%s%s", used > 0 ? " and " : "",
                     words[axis][way.c[axis] > 0]);
    if (n < 0 || (size_t)n >= size - used) break;
    used += (size_t)n;
  }
  return buffer;
}

static bool meets(const gw_model *m, const gw_join *join, int part) {
  for (int i = 0; i < join->n_joints; ++i) {
    const gw_joint *j = &m->joints[join->joints[i]];
    if (gw_joint_enters(m, j) == part || gw_joint_receives(m, j) == part) return true;
  }
  return join->n_joints == 0;
}

int gw_order_group(const gw_model *m, const int *parts, int count) {
  int group = count > 1 ? m->parts[parts[0]].group : -1, members = 0;
  for (int i = 1; i < count; ++i)
    if (m->parts[parts[i]].group != group) return -1;
  for (int i = 0; group >= 0 && i < m->n_parts; ++i) members += m->parts[i].group == group;
  return members == count ? group : -1;
}

const char *gw_order_side(const gw_model *m, const gw_marks *marks, gw_arena *arena,
                          const gw_join *join, bool moving, bool names) {
  enum { FEW = 3 };
  const int *parts = moving ? join->moving : join->onto;
  int count = moving ? join->n_moving : join->n_onto, named = 0, last = parts[0];
  int group = moving || join->n_joints == 0 ? gw_order_group(m, parts, count) : -1;
  if (group >= 0) return m->groups[group].name;
  const char *text = "";
  for (int i = 0; i < count && text != NULL; ++i) {
    if (!(moving && count <= FEW) && !meets(m, join, parts[i])) continue;
    text = gw_arena_printf(arena, "%s%s%s", text, named++ == 0 ? "" : " + ",
                           marks->parts[parts[i]].text);
    last = parts[i];
  }
  if (!names || named != 1) return text;
  return gw_arena_printf(arena, "%s (%s)", m->parts[last].name, marks->parts[last].text);
}

static const char *joint_list(posing *p, const int *joints, int count) {
  const char *text = "";
  char mark[GW_MARK_SHOWN];
  for (int i = 0; i < count && text != NULL; ++i)
    text = gw_arena_printf(p->arena, "%s%s%s", text,
                           i == 0 ? "" : i + 1 == count ? " and " : ", ",
                           gw_mark_show(&p->marks->joints[joints[i]], mark));
  return text;
}

/* How far the way goes down as the piece lies: 1 down, -1 up, 0 sideways. */
static int downward(const posing *p, gw_vec way) {
  int along = way.c[gw_dir_axis(p->m->lay)] * gw_dir_sign(p->m->lay);
  return along > 0 ? 1 : along < 0 ? -1 : 0;
}

static bool upright(const posing *p, gw_vec way) {
  int axis = gw_dir_axis(p->m->lay);
  return way.c[(axis + 1) % 3] == 0 && way.c[(axis + 2) % 3] == 0;
}

static gw_status write_words(posing *p, gw_join *join) {
  char way[64];
  gw_way_words(join->way, way, sizeof way);
  join->direction = gw_arena_text(p->arena, way);
  const char *moving = gw_order_side(p->m, p->marks, p->arena, join, true, true);
  const char *onto = gw_order_side(p->m, p->marks, p->arena, join, false, true);
  const char *joints = joint_list(p, join->joints, join->n_joints);
  if (!join->direction || !moving || !onto || !joints) return GW_NO_MEMORY;
  int down = downward(p, join->way);
  const char *verb = down > 0 ? "lower" : down < 0 ? "raise" : "bring";
  const char *tail = join->n_joints == 0 ? ""
                     : join->n_joints == 1 ? ", joint " : ", joints ";
  if (join->n_joints == 0)
    join->words = gw_arena_printf(p->arena, "stand %s beside %s and hold both", moving, onto);
  else if (upright(p, join->way))
    join->words = gw_arena_printf(p->arena, "%s %s %s %s%s%s", verb, moving,
                                  down > 0 ? "onto" : "up to", onto, tail, joints);
  else
    join->words = gw_arena_printf(p->arena, "%s %s %s onto %s%s%s", verb, moving, way,
                                  onto, tail, joints);
  return join->words == NULL ? GW_NO_MEMORY : GW_OK;
}

/* ---- the problem ------------------------------------------------------------------- */

/* Grams, from the whole box of the part. */
static int64_t mass_of(const gw_part *part) {
  double volume = 1;
  for (int axis = 0; axis < 3; ++axis) volume *= gw_len_mm(part->size[axis]) / 1000;
  return (int64_t)(volume * part->density * 1000);
}

static gw_status pose_parts(posing *p) {
  int64_t *mass = gw_arena_alloc(p->arena, (size_t)p->m->n_parts, sizeof *mass);
  if (mass == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < p->m->n_parts; ++i) mass[i] = mass_of(&p->m->parts[i]);
  p->problem.n_parts = p->m->n_parts;
  p->problem.mass_g = mass;
  p->problem.n_dirs = p->blocking.n_dirs;
  p->problem.dir_cost = p->blocking.cost;
  p->problem.dir_opposite = p->blocking.opposite;
  p->problem.arcs = p->blocking.arcs;
  p->problem.n_arcs = p->blocking.n_arcs;
  p->problem.hands = p->m->shop.hands;
  return GW_OK;
}

/* Tail boards are put onto standing pin boards, tenons into mortises: the
 * entering part moves where its joint is undercut or sliding. */
static gw_status pose_joints(posing *p) {
  gw_split_joint *joints = gw_arena_alloc(p->arena, (size_t)p->m->n_joints, sizeof *joints);
  if (joints == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < p->m->n_joints; ++i) {
    const gw_joint *joint = &p->m->joints[i];
    const gw_seating *s = &p->fit->seatings[i];
    int enters = gw_joint_enters(p->m, joint);
    bool dovetail = joint->kind == GW_THROUGH_DOVETAIL || joint->kind == GW_LAPPED_DOVETAIL ||
                    joint->kind == GW_DOVETAIL_HALVING;
    bool slides = joint->kind == GW_SLIDING_DOVETAIL && s->run >= 0;
    joints[i] = (gw_split_joint){
        .a = enters, .b = gw_joint_receives(p->m, joint), .glued = joint->glued,
        .slide = slides ? s->e[s->run].size / GW_MM : 0, .mover = dovetail ? enters : -1};
  }
  p->problem.joints = joints;
  p->problem.n_joints = p->m->n_joints;
  return GW_OK;
}

static gw_status pose_group(posing *p, gw_split_wish *wish, int group) {
  int *parts = gw_arena_alloc(p->arena, (size_t)p->m->n_parts, sizeof *parts), count = 0;
  if (parts == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < p->m->n_parts; ++i)
    if (p->m->parts[i].group == group) parts[count++] = i;
  *wish = (gw_split_wish){.kind = GW_SPLIT_GROUP_FIRST, .parts = parts, .n_parts = count};
  return GW_OK;
}

/* Whether a joint only lays one part against another, without glue: a top on
 * buttons, a drawer on its runners. */
static bool laid_on(const gw_joint *joint) {
  return !joint->glued && gw_kind_of(joint->kind)->seat == GW_FACE;
}

static bool all_dry(const gw_model *m, int part) {
  const gw_part *p = &m->parts[part];
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i)
    if (m->halves[i].joint >= 0 && m->joints[m->halves[i].joint].glued) return false;
  return p->n_halves > 0;
}

static bool some_free(const bool *blocked, size_t ways) {
  for (size_t i = 0; i < ways; ++i)
    if (!blocked[i]) return true;
  return false;
}

/* Marks the parts that are held dry and can go in when all else is together: a
 * back in its rebate, a drawer bottom that slides in from behind.  A part of a
 * group is looked at with its group alone. */
static gw_status mark_last(posing *p, bool *last) {
  const gw_model *m = p->m;
  const size_t ways = (size_t)p->blocking.n_dirs;
  bool *blocked = gw_arena_alloc(p->arena, (size_t)m->n_parts * ways, sizeof *blocked);
  if (blocked == NULL) return GW_NO_MEMORY;
  for (size_t i = 0; i < p->blocking.n_arcs; ++i) {
    const gw_split_arc *arc = &p->blocking.arcs[i];
    int group = m->parts[arc->mover].group;
    if (group < 0 || m->parts[arc->blocker].group == group)
      blocked[(size_t)arc->mover * ways + (size_t)arc->dir] = true;
  }
  for (int i = 0; i < m->n_parts; ++i)
    last[i] = all_dry(m, i) && some_free(blocked + (size_t)i * ways, ways);
  return GW_OK;
}

static int root_of(int *parent, int i) {
  while (parent[i] != i) i = parent[i] = parent[parent[i]];
  return i;
}

/* What is only laid on, or can go in dry at the end, goes on last: the rest of
 * the piece, each lump of it that hangs together otherwise, is put together by
 * itself. */
static gw_status pose_lumps(posing *p, gw_split_wish *wishes, int *count) {
  const gw_model *m = p->m;
  int *parent = gw_arena_alloc(p->arena, (size_t)m->n_parts, sizeof *parent);
  bool *last = gw_arena_alloc(p->arena, (size_t)m->n_parts, sizeof *last);
  if (parent == NULL || last == NULL) return GW_NO_MEMORY;
  GW_TRY(mark_last(p, last));
  for (int i = 0; i < m->n_parts; ++i) parent[i] = i;
  for (int i = 0; i < m->n_joints; ++i) {
    int a = gw_joint_enters(m, &m->joints[i]), b = gw_joint_receives(m, &m->joints[i]);
    if (laid_on(&m->joints[i]) || last[a] || last[b]) continue;
    a = root_of(parent, a);
    b = root_of(parent, b);
    parent[a > b ? a : b] = a > b ? b : a;
  }
  for (int i = 0; i < m->n_parts; ++i) {
    if (root_of(parent, i) != i) continue;
    int *parts = gw_arena_alloc(p->arena, (size_t)m->n_parts, sizeof *parts), n = 0;
    if (parts == NULL) return GW_NO_MEMORY;
    for (int k = i; k < m->n_parts; ++k)
      if (root_of(parent, k) == i) parts[n++] = k;
    if (n < 2 || n == m->n_parts) continue;
    p->wish_source[*count] = LUMP;
    wishes[(*count)++] = (gw_split_wish){.kind = GW_SPLIT_GROUP_FIRST, .parts = parts, .n_parts = n};
  }
  return GW_OK;
}

static gw_status pose_wishes(posing *p) {
  const gw_model *m = p->m;
  size_t room = (size_t)(m->n_groups + m->n_wishes + m->n_parts);
  gw_split_wish *wishes = gw_arena_alloc(p->arena, room, sizeof *wishes);
  p->wish_source = gw_arena_alloc(p->arena, room, sizeof *p->wish_source);
  if (wishes == NULL || p->wish_source == NULL) return GW_NO_MEMORY;
  int count = 0;
  for (int i = 0; i < m->n_wishes; ++i) {
    const gw_wish *from = &m->wishes[i];
    bool first = from->kind != GW_WISH_BEFORE;
    if (from->n_parts < 2) continue;
    p->wish_source[count] = i;
    wishes[count++] = (gw_split_wish){
        .kind = first ? GW_SPLIT_GROUP_FIRST : GW_SPLIT_PART_BEFORE, .parts = from->parts,
        .n_parts = from->n_parts, .x = from->parts[0], .y = from->parts[1], .strict = true};
  }
  for (int i = 0; i < m->n_groups; ++i) {
    p->wish_source[count] = -1 - i;
    GW_TRY(pose_group(p, &wishes[count], i));
    if (wishes[count].n_parts > 1) ++count;
  }
  GW_TRY(pose_lumps(p, wishes, &count));
  p->problem.wishes = wishes;
  p->problem.n_wishes = count;
  return GW_OK;
}

/* Whether the whole of a join is just what a wish wants as a stage of its own. */
static bool stands_alone(const posing *p, const gw_join *join) {
  for (int i = 0; i < p->m->n_wishes; ++i) {
    const gw_wish *wish = &p->m->wishes[i];
    if (wish->kind != GW_WISH_ALONE || wish->n_parts != join->n_moving + join->n_onto) continue;
    int found = 0;
    for (int k = 0; k < join->n_moving; ++k)
      for (int w = 0; w < wish->n_parts; ++w) found += wish->parts[w] == join->moving[k];
    for (int k = 0; k < join->n_onto; ++k)
      for (int w = 0; w < wish->n_parts; ++w) found += wish->parts[w] == join->onto[k];
    if (found == wish->n_parts) return true;
  }
  return false;
}

/* ---- answers -------------------------------------------------------------------------- */

static gw_status take_side(posing *p, const gw_split_result *r, int node, int *space, int **list,
                           int *count, int *join) {
  *count = gw_split_members(r, node, space);
  *join = node < r->n_parts ? -1 : node - r->n_parts;
  *list = gw_arena_alloc(p->arena, (size_t)*count, sizeof **list);
  if (*list == NULL) return GW_NO_MEMORY;
  memcpy(*list, space, (size_t)*count * sizeof **list);
  return GW_OK;
}

/* Joints in the order of their numbers on the sheets. */
static gw_status take_joints(posing *p, const gw_split_join *from, const int *rank, gw_join *join) {
  join->n_joints = from->n_joints;
  join->joints = gw_arena_alloc(p->arena, (size_t)from->n_joints, sizeof *join->joints);
  if (join->joints == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < from->n_joints; ++i) {
    int at = i;
    while (at > 0 && rank[join->joints[at - 1]] > rank[from->joints[i]]) {
      join->joints[at] = join->joints[at - 1];
      --at;
    }
    join->joints[at] = from->joints[i];
    join->n_glued += p->m->joints[from->joints[i]].glued;
  }
  return GW_OK;
}

/* Whether the moving side can leave the other along d. */
static bool can_leave(const posing *p, const gw_join *join, int d, char *moves) {
  memset(moves, 0, (size_t)p->m->n_parts);
  for (int i = 0; i < join->n_moving; ++i) moves[join->moving[i]] = 1;
  for (int i = 0; i < join->n_onto; ++i) moves[join->onto[i]] = 2;
  for (size_t i = 0; i < p->blocking.n_arcs; ++i) {
    const gw_split_arc *arc = &p->blocking.arcs[i];
    bool against = arc->dir == p->blocking.opposite[d];
    if (arc->dir == d && moves[arc->mover] == 1 && moves[arc->blocker] == 2) return false;
    if (against && moves[arc->mover] == 2 && moves[arc->blocker] == 1) return false;
  }
  return true;
}

/* How a maker would sooner not bring a dry side in: from below, dragging one face along
 * another, or from behind, where a drawer is never seen to go in.  Common practice, no
 * source. */
static int dry_cost(const posing *p, const gw_join *join, int leaving) {
  const gw_vec *d = &p->blocking.dirs[leaving];
  int cost = 2 * p->blocking.cost[leaving] + (d->c[GW_Y] > 0);
  for (int i = 0; i < join->n_joints; ++i) {
    const gw_seating *s = &p->fit->seatings[join->joints[i]];
    if (laid_on(&p->m->joints[join->joints[i]]) && d->c[s->normal] == 0) return cost + 6;
  }
  return cost;
}

/* A dry join needs no clamps, so nothing speaks for the axis of the join before
 * it: the easiest way in that is open. */
static gw_status choose_dry_way(posing *p, gw_join *join, int dir) {
  char *moves = gw_arena_alloc(p->arena, (size_t)p->m->n_parts, 1);
  if (moves == NULL) return GW_NO_MEMORY;
  for (int d = 0; d < p->blocking.n_dirs; ++d)
    if (dry_cost(p, join, d) < dry_cost(p, join, dir) && can_leave(p, join, d, moves)) dir = d;
  const gw_vec leaves = p->blocking.dirs[dir];
  join->way = (gw_vec){{-leaves.c[0], -leaves.c[1], -leaves.c[2]}};
  return GW_OK;
}

static gw_status take_join(posing *p, const gw_split_result *r, int index, const int *rank,
                           int *space, gw_order *order) {
  const gw_split_join *from = &r->joins[index];
  gw_join *join = &order->joins[index];
  gw_vec leaves = p->blocking.dirs[from->dir];
  join->way = (gw_vec){{-leaves.c[0], -leaves.c[1], -leaves.c[2]}};
  join->bodies = from->bodies;
  join->loose = from->loose;
  join->over_hands = from->over_hands;
  join->parent = -1;
  GW_TRY(take_side(p, r, from->moving, space, &join->moving, &join->n_moving, &join->moving_join));
  GW_TRY(take_side(p, r, from->base, space, &join->onto, &join->n_onto, &join->onto_join));
  if (join->moving_join >= 0) order->joins[join->moving_join].parent = index;
  if (join->onto_join >= 0) order->joins[join->onto_join].parent = index;
  GW_TRY(take_joints(p, from, rank, join));
  join->ends_stage = stands_alone(p, join);
  if (join->n_glued == 0) GW_TRY(choose_dry_way(p, join, from->dir));
  return write_words(p, join);
}

static gw_status take_order(posing *p, const gw_split_result *r, gw_order *order) {
  order->n_joins = r->n_joins;
  order->optimal = r->proof == GW_SPLIT_OPTIMAL;
  order->cost = r->cost;
  order->bound = r->bound;
  order->nodes = r->nodes;
  order->joins = gw_arena_alloc(p->arena, (size_t)r->n_joins, sizeof *order->joins);
  int *rank = gw_arena_alloc(p->arena, (size_t)p->m->n_joints, sizeof *rank);
  int *space = gw_arena_alloc(p->arena, (size_t)p->m->n_parts, sizeof *space);
  if (order->joins == NULL || rank == NULL || space == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < p->m->n_joints; ++i) rank[p->marks->joint_walk[i]] = i;
  for (int i = 0; i < r->n_joins; ++i) GW_TRY(take_join(p, r, i, rank, space, order));
  return GW_OK;
}

/* ---- locked ------------------------------------------------------------------------------ */

/* "up: front – left – back": each is held by the next, the last by the first. */
static const char *walk_words(posing *p, const gw_split_walk *walk) {
  enum { SHOWN = 6 };
  char way[64];
  const char *text = gw_arena_printf(
      p->arena, "%s:", gw_way_words(p->blocking.dirs[walk->dir], way, sizeof way));
  for (int i = 0; i < walk->n_parts && text != NULL && i < SHOWN; ++i)
    text = gw_arena_printf(p->arena, "%s%s %s", text, i == 0 ? "" : " –",
                           p->m->parts[walk->parts[i]].id);
  if (text == NULL || walk->n_parts <= SHOWN) return text;
  return gw_arena_printf(p->arena, "%s – …", text);
}

/* What frees a ring.  Legs that lean apart cannot go in along themselves together;
 * what is cut plumb goes straight up. */
static const char *remedy(const posing *p, const gw_split_lock *lock) {
  for (int i = 0; i < lock->n_keys; ++i)
    if (p->fit->seatings[lock->keys[i].joint].freedom.kind == GW_FREE_SLANT)
      return "cut what is on the ends of parts that lean upright, plumb=\"yes\", or open one at a "
             "side, or put it in later";
  return "open one at a side, or put it in later";
}

static gw_status say_keys(posing *p, const gw_split_lock *lock, const char **text) {
  *text = "no single joint left open would free it";
  for (int i = 0, n = 0; i < lock->n_keys; ++i) {
    const gw_joint *joint = &p->m->joints[lock->keys[i].joint];
    const char *one = gw_arena_printf(
        p->arena, "%s%s of %s and %s", n == 0 ? "it would come apart without the " : ", or the ",
        gw_kind_of(joint->kind)->words, p->m->parts[gw_joint_enters(p->m, joint)].id,
        p->m->parts[gw_joint_receives(p->m, joint)].id);
    *text = n == 0 ? one : gw_arena_printf(p->arena, "%s%s", *text, one);
    if (one == NULL || *text == NULL) return GW_NO_MEMORY;
    if (++n == 4) break;
  }
  if (lock->n_keys == 0) return GW_OK;
  *text = gw_arena_printf(p->arena, "%s: %s", *text, remedy(p, lock));
  return *text == NULL ? GW_NO_MEMORY : GW_OK;
}

/* All of them, those along leans that differ but little in one. */
static const char *all_walks(posing *p, const gw_split_lock *lock) {
  enum { SHOWN = 6 }; /* the ways along the axes come first */
  const char **said = gw_arena_alloc(p->arena, (size_t)lock->n_walks, sizeof *said);
  const char *text = said == NULL ? NULL : "";
  int n = 0;
  for (int i = 0; i < lock->n_walks && text != NULL; ++i) {
    const char *one = walk_words(p, &lock->walks[i]);
    bool known = false;
    if (one == NULL) return NULL;
    for (int k = 0; k < n && !known; ++k) known = strcmp(said[k], one) == 0;
    if (known) continue;
    if (n < SHOWN) text = gw_arena_printf(p->arena, "%s%s%s", text, n > 0 ? "; " : "", one);
    said[n++] = one;
  }
  if (text != NULL && n > SHOWN)
    text = gw_arena_printf(p->arena, "%s; and so in %d other ways", text, n - SHOWN);
  if (text == NULL || !p->blocking.dropped) return text;
  return gw_arena_printf(p->arena, "%s. Of all the ways that its leaning parts ask for, %d were tried",
                         text, GW_WAYS_MOST);
}

static gw_status say_lock(posing *p, const gw_split_lock *lock) {
  const char *names = "", *keys;
  for (int i = 0; i < lock->n_parts && names != NULL; ++i)
    names = gw_arena_printf(p->arena, "%s%s%s", names, i == 0 ? "" : ", ",
                            p->m->parts[lock->parts[i]].id);
  GW_TRY(say_keys(p, lock, &keys));
  const char *walks = all_walks(p, lock);
  if (names == NULL || walks == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_find(p->findings, GW_ERROR, "locked", p->m->parts[lock->parts[0]].line,
                 "%s lock each other: none can go in last, all would have to close at once; %s. "
                 "Each is held by the next, the last by the first, going %s", names, keys, walks));
  for (int i = 0; i < lock->n_parts; ++i) GW_TRY(gw_find_part(p->findings, lock->parts[i]));
  for (int i = 0; i < lock->n_keys; ++i) GW_TRY(gw_find_joint(p->findings, lock->keys[i].joint));
  return GW_OK;
}

static gw_status say_conflict(posing *p, const gw_split_conflict *c) {
  int source = p->wish_source[c->dropped];
  if (source == LUMP) return GW_OK; /* nobody asked for it */
  int line = source >= 0 ? p->m->wishes[source].line : p->m->groups[-1 - source].line;
  return gw_find(p->findings, source >= 0 ? GW_ERROR : GW_WARNING, "wish-refused", line,
                 "%s%s; the way the joints close does not allow it%s",
                 source >= 0 ? "this order cannot be had" : "this group cannot be put together by itself",
                 c->n_wishes > 1 ? " together with the other wishes" : "",
                 source >= 0 ? ": take the wish out" : ", so it is built into the piece");
}

static gw_status answer(posing *p, const gw_split_result *r, gw_order *order, bool *found) {
  for (int i = 0; i < r->n_conflicts; ++i) GW_TRY(say_conflict(p, &r->conflicts[i]));
  for (int i = 0; i < r->n_locks; ++i) GW_TRY(say_lock(p, &r->locks[i]));
  *found = r->kind == GW_SPLIT_ORDER;
  if (p->stopped)
    GW_TRY(gw_find(p->findings, GW_NOTE, "search-stopped", p->m->line,
                   "the search was stopped: this is the best order found so far; let it run to the "
                   "end for a better one"));
  return *found ? take_order(p, r, order) : GW_OK;
}

static void take_weight(int64_t *weight, int stated) {
  if (stated >= 0) *weight = stated;
}

static void pose_weights(posing *p) {
  const gw_weights *from = &p->m->weights;
  gw_split_weights *to = &p->problem.weights;
  take_weight(&to->align, from->align);
  take_weight(&to->beside, from->beside);
  take_weight(&to->loose, from->loose);
  take_weight(&to->hands, from->hands);
  take_weight(&to->dir, from->direction);
  take_weight(&to->mass, from->mass);
  take_weight(&to->slide, from->slide);
  take_weight(&to->turn, from->turn);
  take_weight(&to->against, from->against);
}

static bool ask_stop(void *data) {
  posing *p = data;
  p->stopped = p->stopped || (p->options->stop != NULL && p->options->stop(p->options->stop_data));
  return p->stopped;
}

static void tell_better(void *data, int64_t cost, int64_t bound) {
  const posing *p = data;
  if (p->options->better != NULL) p->options->better(p->options->stop_data, cost, bound);
}

static gw_status pose(posing *p) {
  const gw_order_options *options = p->options;
  p->problem = gw_split_problem_default();
  pose_weights(p);
  if (options != NULL && options->exact_limit > 0) p->problem.exact_limit = options->exact_limit;
  if (options != NULL && options->node_budget > 0) p->problem.node_budget = options->node_budget;
  if (options != NULL) {
    p->problem.any = options->any;
    p->problem.stop = ask_stop;
    p->problem.better = tell_better;
    p->problem.stop_data = p;
  }
  GW_TRY(gw_blocking_make(p->m, p->fit, p->slides, &p->blocking));
  GW_TRY(pose_parts(p));
  GW_TRY(pose_joints(p));
  return pose_wishes(p);
}

/* Lets the joints inside each locked group slide; *more: any did not before. */
static void free_slides(posing *p, const gw_split_result *r, bool *more) {
  *more = false;
  for (int k = 0; k < r->n_locks; ++k)
    for (int i = 0; i < p->m->n_joints; ++i) {
      int e = gw_joint_enters(p->m, &p->m->joints[i]), n = 0;
      int other = gw_joint_receives(p->m, &p->m->joints[i]);
      for (int j = 0; j < r->locks[k].n_parts; ++j)
        n += r->locks[k].parts[j] == e || r->locks[k].parts[j] == other;
      if (n < 2 || p->slides[i]) continue;
      p->slides[i] = true;
      *more = true;
    }
}

/* A search that is stopped before it found an order still gives one: looking at
 * this few splits takes no time worth stopping. */
static gw_status split(posing *p, gw_split_result **result, gw_error *err) {
  enum { GLANCE = 200 };
  GW_TRY(gw_split_solve(&p->problem, result, err));
  if ((*result)->kind != GW_SPLIT_STOPPED) return GW_OK;
  gw_split_free(*result);
  p->problem.stop = NULL;
  p->problem.node_budget = GLANCE;
  return gw_split_solve(&p->problem, result, err);
}

/* Where any order will do, nothing can be said against the piece but that it is
 * locked, unless the file has wishes.  If it comes apart without the joints'
 * sliding, that is all; if not, the locks are to be named. */
static gw_status comes_apart(posing *p, bool *apart, gw_error *err) {
  *apart = false;
  if (p->options == NULL || !p->options->any || p->m->n_wishes > 0 || p->m->n_groups > 0)
    return GW_OK;
  p->problem = gw_split_problem_default();
  pose_weights(p);
  gw_blocking_dirs(p->m, p->fit, &p->blocking);
  GW_TRY(pose_parts(p));
  GW_TRY(pose_joints(p));
  GW_TRY(gw_split_check(&p->problem, err));
  return gw_order_apart(p->m, p->fit, p->slides, apart);
}

/* Joints slide only where nothing else goes: first none, then those of the
 * groups that are locked so, until the piece comes apart or nothing is left to
 * be freed. */
static gw_status solve(posing *p, gw_order *order, bool *found, gw_error *err) {
  p->slides = gw_arena_alloc(p->arena, (size_t)p->m->n_joints, sizeof *p->slides);
  if (p->slides == NULL) return GW_NO_MEMORY;
  bool apart;
  gw_status status = comes_apart(p, &apart, err);
  for (bool again = !apart; again && status == GW_OK;) {
    gw_split_result *result = NULL;
    again = false;
    status = pose(p);
    if (status == GW_OK) status = split(p, &result, err);
    if (status == GW_OK && result->kind == GW_SPLIT_LOCKED) free_slides(p, result, &again);
    if (status == GW_OK && !again) status = answer(p, result, order, found);
    gw_split_free(result);
    gw_blocking_free(&p->blocking);
  }
  return status;
}

gw_status gw_order_make(const gw_model *m, const gw_fit *fit, const gw_marks *marks,
                        const gw_order_options *options, gw_findings *findings, gw_order **out,
                        gw_error *err) {
  *out = NULL;
  if (m->n_parts > GW_ORDER_MAX_PARTS)
    return gw_find(findings, GW_WARNING, "too-many-parts", m->line,
                   "an order is looked for in pieces of up to %d parts; this one has %d: describe "
                   "a part of it in a file of its own", GW_ORDER_MAX_PARTS, m->n_parts);
  gw_order *order = calloc(1, sizeof *order);
  if (order == NULL) return GW_NO_MEMORY;
  order->arena = gw_arena_new();
  posing p = {.m = m, .fit = fit, .marks = marks, .findings = findings, .options = options,
              .arena = order->arena};
  bool found = false;
  gw_status status =
      order->arena == NULL ? GW_NO_MEMORY : solve(&p, order, &found, err);
  if (status == GW_OK && found)
    *out = order;
  else
    gw_order_free(order);
  return status;
}

void gw_order_free(gw_order *order) {
  if (order == NULL) return;
  gw_arena_free(order->arena);
  free(order);
}
