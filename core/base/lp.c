/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The solver (GLPK) ends the process on a caller's mistake and on its own broken promises; here its error hook jumps
 * back to lp_guarded() instead. After such a jump the solver's memory is in an unknown state, so its whole
 * environment is thrown away, which is also what ends every good call: no model outlives it.
 */
#include "core/base/lp.h"

#include <assert.h>
#include <glpk.h>
#include <math.h>
#include <setjmp.h>
#include <string.h>

enum { MOST = 20000, USUAL_MS = 1000 };

static const double touch = 1e-6; /* how far a solver's x may miss a bound, relative to the bound's own size */

/* ---- faults ---- */

struct fault {
    jmp_buf back;
    size_t n;
    char says[200];
};

static int keep_words(void *info, const char *s)
{
    struct fault *f = info;
    const size_t room = sizeof f->says - 1 - f->n, n = strlen(s) < room ? strlen(s) : room;

    memcpy(f->says + f->n, s, n);
    f->n += n;
    f->says[f->n] = '\0';
    return 1; /* not on to the terminal */
}

static void jump_back(void *info)
{
    struct fault *f = info;
    longjmp(f->back, 1);
}

/* In a function of its own, so that nothing that changes is local to the one that holds setjmp. */
static bool unhurt(void (*work)(void *what), void *what, struct fault *f)
{
    if (setjmp(f->back) != 0)
        return false;
    work(what);
    return true;
}

enum status lp_guarded(void (*work)(void *what), void *what, struct message *why)
{
    struct fault f = { .n = 0 };

    (void)glp_term_out(GLP_OFF);
    glp_term_hook(keep_words, &f); /* a fault turns the terminal back on: its words end here */
    glp_error_hook(jump_back, &f);
    const bool good = unhurt(work, what, &f);
    (void)glp_free_env(); /* hooks, models, all */
    return good ? ST_OK : refuse(ST_IO, why, "", "the solver failed: %s", f.n ? f.says : "no reason given");
}

/* ---- the model as it is solved ---- */

struct run {
    const struct lp_model *m;
    struct arena *mem;
    struct lp_answer *answer;
    struct message *why;
    enum status st;
    glp_prob *p;
    double began_ms;
    size_t *start; /* n_rows + 1: entries of row i are start[i] .. start[i + 1] */
    size_t *col;   /* their columns and values */
    double *value;
    struct lp_bounds *cols; /* bounds of whole columns brought to whole numbers */
    bool whole;             /* some column is */
    bool split;             /* whole, and only whole numbers stand in the way: parts of columns would do */
};

static double now_ms(void)
{
    return glp_time();
}

static int left_ms(const struct run *r)
{
    const double most = r->m->time_ms ? r->m->time_ms : USUAL_MS, left = most - (now_ms() - r->began_ms);
    return left < 1.0 ? 0 : (int)left;
}

static bool fair(struct lp_bounds b)
{
    return b.low <= b.high && b.low < HUGE_VAL && b.high > -HUGE_VAL; /* false for NAN */
}

static enum status check_figures(const struct lp_model *m, struct message *why)
{
    if (m->n_rows > MOST || m->n_cols > MOST || m->n_entries > 100u * MOST)
        return refuse(ST_BAD_INPUT, why, "",
                      "a model of %zu rows, %zu columns and %zu entries is too large; %d is the most", m->n_rows,
                      m->n_cols, m->n_entries, (int)MOST);
    if (!(m->gap >= 0.0 && m->gap < 1.0))
        return refuse(ST_BAD_INPUT, why, "gap", "gap is %g; give a share from 0 to below 1", m->gap);
    for (size_t i = 0; i < m->n_rows; i++)
        if (!fair(m->rows[i]))
            return refuse(ST_BAD_INPUT, why, "rows", "row %zu runs from %g to %g; low must not be above high", i,
                          m->rows[i].low, m->rows[i].high);
    for (size_t j = 0; j < m->n_cols; j++) {
        if (!fair(m->cols[j]))
            return refuse(ST_BAD_INPUT, why, "cols", "column %zu runs from %g to %g; low must not be above high", j,
                          m->cols[j].low, m->cols[j].high);
        if (!isfinite(m->cost[j]))
            return refuse(ST_BAD_INPUT, why, "cost", "the cost of column %zu is %g; give a finite one", j, m->cost[j]);
    }
    for (size_t k = 0; k < m->n_entries; k++) {
        const struct lp_entry *e = &m->entries[k];
        if (e->row >= m->n_rows || e->col >= m->n_cols)
            return refuse(ST_BAD_INPUT, why, "entries", "entry %zu is for row %zu, column %zu of %zu by %zu", k, e->row,
                          e->col, m->n_rows, m->n_cols);
        if (!isfinite(e->value))
            return refuse(ST_BAD_INPUT, why, "entries", "entry %zu is %g; give a finite value", k, e->value);
    }
    return ST_OK;
}

/* Entries by row, and a pair given twice found on the way. */
static enum status sort_entries(struct run *r)
{
    const struct lp_model *m = r->m;
    size_t *seen = ARENA_NEW(r->mem, size_t, m->n_cols); /* last row + 1 that had this column */

    r->start = ARENA_NEW(r->mem, size_t, m->n_rows + 2);
    r->col = ARENA_NEW(r->mem, size_t, m->n_entries);
    r->value = ARENA_NEW(r->mem, double, m->n_entries);
    r->cols = ARENA_NEW(r->mem, struct lp_bounds, m->n_cols);
    if (arena_full(r->mem))
        return refuse(ST_NO_MEMORY, r->why, "", "the model is too large for the memory set aside");
    for (size_t k = 0; k < m->n_entries; k++)
        r->start[m->entries[k].row + 2]++;
    for (size_t i = 2; i < m->n_rows + 2; i++)
        r->start[i] += r->start[i - 1];
    for (size_t k = 0; k < m->n_entries; k++) {
        const size_t at = r->start[m->entries[k].row + 1]++;
        r->col[at] = m->entries[k].col;
        r->value[at] = m->entries[k].value;
    }
    for (size_t i = 0; i < m->n_rows; i++)
        for (size_t k = r->start[i]; k < r->start[i + 1]; k++) {
            if (seen[r->col[k]] == i + 1)
                return refuse(ST_BAD_INPUT, r->why, "entries", "row %zu has column %zu twice", i, r->col[k]);
            seen[r->col[k]] = i + 1;
        }
    return ST_OK;
}

static int kind_of(struct lp_bounds b)
{
    const bool low = b.low > -HUGE_VAL, high = b.high < HUGE_VAL;
    return low && high ? (b.low < b.high ? GLP_DB : GLP_FX) : low ? GLP_LO : high ? GLP_UP : GLP_FR;
}

static void set_row(struct run *r, size_t i, struct lp_bounds b)
{
    glp_set_row_bnds(r->p, (int)i + 1, kind_of(b), b.low, b.high); /* a side that is free is not looked at */
}

static void set_col(struct run *r, size_t j, struct lp_bounds b)
{
    glp_set_col_bnds(r->p, (int)j + 1, kind_of(b), b.low, b.high);
}

static void build(struct run *r, int *index, double *value)
{
    const struct lp_model *m = r->m;

    r->p = glp_create_prob();
    glp_set_obj_dir(r->p, GLP_MIN);
    if (m->n_rows)
        (void)glp_add_rows(r->p, (int)m->n_rows);
    if (m->n_cols)
        (void)glp_add_cols(r->p, (int)m->n_cols);
    for (size_t j = 0; j < m->n_cols; j++) {
        set_col(r, j, r->cols[j]);
        glp_set_obj_coef(r->p, (int)j + 1, m->cost[j]);
        if (m->whole && m->whole[j])
            glp_set_col_kind(r->p, (int)j + 1, GLP_IV);
    }
    for (size_t i = 0; i < m->n_rows; i++) {
        int n = 0;
        set_row(r, i, m->rows[i]);
        for (size_t k = r->start[i]; k < r->start[i + 1]; k++)
            if (r->value[k] != 0.0) {
                index[++n] = (int)r->col[k] + 1;
                value[n] = r->value[k];
            }
        glp_set_mat_row(r->p, (int)i + 1, n, index, value);
    }
    if (m->n_entries)
        glp_scale_prob(r->p, GLP_SF_AUTO);
    glp_adv_basis(r->p, 0);
}

/* ---- solving ---- */

enum outcome { SOLVED, NOT_FEASIBLE, NOT_BOUNDED, OUT_OF_TIME };

static bool runs(struct run *r, const char *what, int code)
{
    if (r->st == ST_OK)
        r->st = refuse(ST_IO, r->why, "", "the solver gave up (%s, code %d)", what, code);
    return false;
}

static enum outcome relaxed(struct run *r)
{
    glp_smcp parm;

    glp_init_smcp(&parm);
    parm.msg_lev = GLP_MSG_OFF;
    parm.tm_lim = left_ms(r);
    if (parm.tm_lim == 0)
        return OUT_OF_TIME;
    int code = glp_simplex(r->p, &parm);
    if (code == GLP_ESING || code == GLP_ECOND || code == GLP_EBADB || code == GLP_EFAIL) { /* begin again, plainly */
        glp_std_basis(r->p);
        code = glp_simplex(r->p, &parm);
    }
    if (code == GLP_ETMLIM)
        return OUT_OF_TIME;
    if (code != 0) {
        (void)runs(r, "simplex", code);
        return OUT_OF_TIME;
    }
    switch (glp_get_status(r->p)) {
    case GLP_OPT: return SOLVED;
    case GLP_NOFEAS: return NOT_FEASIBLE;
    case GLP_UNBND: return NOT_BOUNDED;
    default: (void)runs(r, "simplex ended undecided", glp_get_status(r->p)); return OUT_OF_TIME;
    }
}

static bool obeys(const struct run *r, const double *x)
{
    for (size_t j = 0; j < r->m->n_cols; j++) {
        const struct lp_bounds b = r->cols[j];
        if (!(x[j] >= b.low - touch * (1.0 + fabs(b.low)) && x[j] <= b.high + touch * (1.0 + fabs(b.high))))
            return false;
        if (r->m->whole && r->m->whole[j] && !(fabs(x[j] - round(x[j])) <= touch))
            return false;
    }
    for (size_t i = 0; i < r->m->n_rows; i++) {
        const struct lp_bounds b = r->m->rows[i];
        double sum = 0.0, size = 1.0;
        for (size_t k = r->start[i]; k < r->start[i + 1]; k++) {
            sum += r->value[k] * x[r->col[k]];
            size = fmax(size, fabs(r->value[k] * x[r->col[k]]));
        }
        if (!(sum >= b.low - touch * (size + (b.low > -HUGE_VAL ? fabs(b.low) : 0.0)) &&
              sum <= b.high + touch * (size + (b.high < HUGE_VAL ? fabs(b.high) : 0.0))))
            return false;
    }
    return true;
}

struct start {
    const double *known; /* 1-based, or NULL once handed over */
};

static void hand_over(glp_tree *tree, void *info)
{
    struct start *s = info;

    if (glp_ios_reason(tree) == GLP_IHEUR && s->known) {
        (void)glp_ios_heur_sol(tree, s->known);
        s->known = NULL;
    }
}

static enum outcome in_whole_numbers(struct run *r, const double *known)
{
    struct start start = { known };
    glp_iocp parm;
    const enum outcome loose = relaxed(r);

    if (loose != SOLVED) {
        r->split = loose != NOT_FEASIBLE;
        return loose;
    }
    r->split = true;
    glp_init_iocp(&parm);
    parm.msg_lev = GLP_MSG_OFF;
    parm.tm_lim = left_ms(r);
    parm.mip_gap = r->m->gap;
    parm.gmi_cuts = parm.cov_cuts = GLP_ON;
    parm.cb_func = hand_over;
    parm.cb_info = &start;
    if (parm.tm_lim == 0)
        return OUT_OF_TIME;
    const int code = glp_intopt(r->p, &parm);
    if (code == GLP_ETMLIM)
        return OUT_OF_TIME;
    if (code != 0 && code != GLP_EMIPGAP) {
        (void)runs(r, "whole numbers", code);
        return OUT_OF_TIME;
    }
    return glp_mip_status(r->p) == GLP_NOFEAS ? NOT_FEASIBLE : SOLVED;
}

/* ---- which cannot stand together ----
 * Deletion filter: Chinneck and Dravnieks (1991), ORSA Journal on Computing 3:157 (title and method from memory). Let
 * go of one bound after another; what can be let go without making the rest possible was not needed for the clash.
 * Where only whole numbers stand in the way, columns keep their bounds: without them the search need not end. */

static bool needed(struct run *r, bool *late)
{
    const enum outcome o = r->split ? in_whole_numbers(r, NULL) : relaxed(r);

    if (o == OUT_OF_TIME)
        *late = true;
    return o != NOT_FEASIBLE; /* not known counts as needed */
}

static void find_clash(struct run *r)
{
    const struct lp_model *m = r->m;
    bool *rows = ARENA_NEW(r->mem, bool, m->n_rows), *cols = ARENA_NEW(r->mem, bool, m->n_cols), late = false;
    const struct lp_bounds any = { -HUGE_VAL, HUGE_VAL };

    if (!rows || !cols)
        return;
    for (size_t j = 0; j < m->n_cols; j++)
        glp_set_obj_coef(r->p, (int)j + 1, 0.0); /* only whether, not how well */
    for (size_t i = 0; i < m->n_rows; i++) {
        set_row(r, i, any);
        rows[i] = needed(r, &late);
        if (rows[i])
            set_row(r, i, m->rows[i]);
    }
    for (size_t i = 0; !r->split && i < m->n_rows; i++)
        for (size_t k = rows[i] ? r->start[i] : r->start[i + 1]; k < r->start[i + 1]; k++)
            cols[r->col[k]] = true;
    for (size_t j = 0; !r->split && j < m->n_cols; j++) {
        const bool bound = r->cols[j].low > -HUGE_VAL || r->cols[j].high < HUGE_VAL;
        set_col(r, j, any);
        cols[j] = cols[j] && bound && needed(r, &late);
        if (cols[j])
            set_col(r, j, r->cols[j]);
    }
    r->answer->clash_rows = rows;
    r->answer->clash_cols = cols;
    r->answer->clash_least = !late;
    r->st = ST_OK; /* a solver that gives up on a part leaves that part in the set */
}

/* ---- the answer ---- */

static void take_answer(struct run *r, bool whole, enum lp_found found)
{
    const struct lp_model *m = r->m;
    double *x = ARENA_NEW(r->mem, double, m->n_cols), *rows = ARENA_NEW(r->mem, double, m->n_rows), cost = 0.0;
    double *row_price = NULL, *col_price = NULL;

    if (!x || !rows)
        return;
    for (size_t j = 0; j < m->n_cols; j++) {
        x[j] = whole ? glp_mip_col_val(r->p, (int)j + 1) : glp_get_col_prim(r->p, (int)j + 1);
        if (m->whole && m->whole[j])
            x[j] = round(x[j]);
        cost += m->cost[j] * x[j];
    }
    for (size_t i = 0; i < m->n_rows; i++)
        for (size_t k = r->start[i]; k < r->start[i + 1]; k++)
            rows[i] += r->value[k] * x[r->col[k]];
    if (!obeys(r, x)) {
        (void)runs(r, "its answer breaks a bound", 0);
        return;
    }
    if (!whole) {
        row_price = ARENA_NEW(r->mem, double, m->n_rows);
        col_price = ARENA_NEW(r->mem, double, m->n_cols);
        for (size_t i = 0; row_price && i < m->n_rows; i++)
            row_price[i] = glp_get_row_dual(r->p, (int)i + 1);
        for (size_t j = 0; col_price && j < m->n_cols; j++)
            col_price[j] = glp_get_col_dual(r->p, (int)j + 1);
    }
    *r->answer = (struct lp_answer){
        .found = found, .cost = cost, .x = x, .row_value = rows, .row_price = row_price, .col_price = col_price
    };
}

/* The known x as the solver wants it (from 1), if it holds what it promises. */
static const double *start_from(struct run *r, enum status *st)
{
    const double *known = r->m->known;
    double *from1;

    if (!known)
        return NULL;
    if (!obeys(r, known)) {
        *st = refuse(ST_BAD_INPUT, r->why, "known", "the plan to start from breaks a bound; give one that obeys all");
        return NULL;
    }
    from1 = ARENA_NEW(r->mem, double, r->m->n_cols + 1);
    if (from1)
        memcpy(from1 + 1, known, r->m->n_cols * sizeof *known);
    return from1;
}

static void fall_back_on_known(struct run *r)
{
    const struct lp_model *m = r->m;
    double *rows = ARENA_NEW(r->mem, double, m->n_rows), cost = 0.0;

    for (size_t j = 0; j < m->n_cols; j++)
        cost += m->cost[j] * m->known[j];
    for (size_t i = 0; rows && i < m->n_rows; i++)
        for (size_t k = r->start[i]; k < r->start[i + 1]; k++)
            rows[i] += r->value[k] * m->known[r->col[k]];
    *r->answer = (struct lp_answer){ .found = LP_FEASIBLE, .cost = cost, .x = m->known, .row_value = rows };
}

static void solve(void *what)
{
    struct run *r = what;
    int *index = ARENA_NEW(r->mem, int, r->m->n_cols + 1);
    double *value = ARENA_NEW(r->mem, double, r->m->n_cols + 1);
    const double *known = r->whole ? start_from(r, &r->st) : NULL;

    if (r->st != ST_OK || !index || !value)
        return;
    r->began_ms = now_ms();
    build(r, index, value);
    switch (r->whole ? in_whole_numbers(r, known) : relaxed(r)) {
    case SOLVED: take_answer(r, r->whole, LP_BEST); break;
    case NOT_FEASIBLE:
        r->answer->found = LP_INFEASIBLE;
        find_clash(r);
        break;
    case NOT_BOUNDED: r->answer->found = LP_UNBOUNDED; break;
    case OUT_OF_TIME:
        if (r->st == ST_OK && r->whole && glp_mip_status(r->p) == GLP_FEAS)
            take_answer(r, true, LP_FEASIBLE);
        else if (r->st == ST_OK && known)
            fall_back_on_known(r);
        else
            r->answer->found = LP_OUT_OF_TIME;
        break;
    }
    glp_delete_prob(r->p);
}

/* Whole columns get whole bounds; one that has no whole number between them is a clash by itself. */
static bool tighten(struct run *r, size_t *empty)
{
    for (size_t j = 0; j < r->m->n_cols; j++) {
        r->cols[j] = r->m->cols[j];
        if (!r->m->whole || !r->m->whole[j])
            continue;
        r->whole = true;
        r->cols[j].low = ceil(r->cols[j].low - 1e-9);
        r->cols[j].high = floor(r->cols[j].high + 1e-9);
        if (r->cols[j].low > r->cols[j].high) {
            *empty = j;
            return false;
        }
    }
    return true;
}

enum status lp_solve(const struct lp_model *model, struct arena *mem, struct lp_answer *answer, struct message *why)
{
    struct lp_answer found = { .found = LP_OUT_OF_TIME };
    struct run r = { .m = model, .mem = mem, .answer = &found, .why = why };
    size_t empty = 0;
    enum status st = check_figures(model, why);

    if (st == ST_OK)
        st = sort_entries(&r);
    if (st != ST_OK)
        return st;
    if (tighten(&r, &empty)) {
        st = lp_guarded(solve, &r, why);
    } else {
        bool *cols = ARENA_NEW(mem, bool, model->n_cols);
        if (cols)
            cols[empty] = true;
        found = (struct lp_answer){ .found = LP_INFEASIBLE,
                                    .clash_rows = ARENA_NEW(mem, bool, model->n_rows),
                                    .clash_cols = cols,
                                    .clash_least = true };
    }
    if (st == ST_OK)
        st = r.st;
    if (st == ST_OK && arena_full(mem))
        st = refuse(ST_NO_MEMORY, why, "", "the model is too large for the memory set aside");
    if (st == ST_OK)
        *answer = found;
    return st;
}
