/* All roots of net(w) = driving(w) - load(w) on (0, top].
 *
 * The net torque is smooth but for a few bends that the caller names (the speed from which current
 * flows). It is sampled on an even grid with the bends added. Between neighbours of opposite sign
 * stands one root (or an odd number), found by bisection; where the samples make a local extremum
 * that comes near zero without crossing it, a golden section looks whether the extremum crosses,
 * which finds the pair of roots near a fold. A root is stable where net falls through zero: a
 * rotor a little too fast is braked.
 *
 * From rest the rotor moves when the static torque at the worst angle beats what holds it; it then
 * gains speed until the first root. Running means coming down from a stronger wind: the fastest
 * stable root. At top the load wins, so the fastest root is always stable.
 */
#include "src/match/balance.h"

#include <math.h>
#include <stdlib.h>

enum { DEFAULT_STEPS = 160, GRID_LIMIT = 1200, BISECTIONS = 60, GOLDEN_STEPS = 24 };

static double net_at(const sw_balance_request *request, double speed) {
    return request->driving.at(request->driving.context, speed) -
           request->load.at(request->load.context, speed);
}

static int rising(const void *a, const void *b) {
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Grid with the first point just above rest, and a point at each bend. Not one either side of it:
 * a table may have a step there far smaller than anything real, which would look like a dip. */
static size_t lay_grid(const sw_balance_request *request, double *grid) {
    size_t steps = request->steps == 0 ? DEFAULT_STEPS : request->steps;
    size_t room = GRID_LIMIT - SW_KINK_LIMIT - 1;
    size_t count = 0;
    if (steps > room)
        steps = room;
    grid[count++] = 1e-6 * request->top_rad_s;
    for (size_t i = 1; i <= steps; i++)
        grid[count++] = request->top_rad_s * (double)i / (double)steps;
    for (size_t i = 0; i < request->kinks && i < SW_KINK_LIMIT; i++) {
        double kink = request->kink_rad_s[i];
        if (!(kink > grid[0]) || kink >= request->top_rad_s)
            continue;
        grid[count++] = kink;
    }
    qsort(grid, count, sizeof *grid, rising);
    return count;
}

static double bisect(const sw_balance_request *request, double low, double high,
                     bool low_positive) {
    for (int i = 0; i < BISECTIONS && high - low > 1e-13 * high; i++) {
        double middle = 0.5 * (low + high);
        bool positive = net_at(request, middle) > 0;
        if (positive == low_positive)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

static void add_root(const sw_balance_request *request, sw_balance *balance, double low,
                     double high, bool low_positive) {
    if (balance->roots == SW_ROOT_LIMIT)
        return;
    double speed = bisect(request, low, high, low_positive);
    sw_root *root = &balance->root[balance->roots++];
    root->speed_rad_s = speed;
    root->torque_nm = request->load.at(request->load.context, speed);
    root->stable = low_positive;
}

/* Where net comes closest to crossing between low and high; sign is that of net at both ends. */
static double closest(const sw_balance_request *request, double low, double high, double sign) {
    const double golden = 0.5 * (sqrt(5.0) - 1.0);
    double a = high - golden * (high - low);
    double b = low + golden * (high - low);
    double at_a = sign * net_at(request, a);
    double at_b = sign * net_at(request, b);
    for (int i = 0; i < GOLDEN_STEPS && at_a > 0 && at_b > 0; i++) {
        if (at_a < at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - golden * (high - low);
            at_a = sign * net_at(request, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + golden * (high - low);
            at_b = sign * net_at(request, b);
        }
    }
    return at_a < at_b ? a : b;
}

/* Is the sample in the middle the one closest to zero? Then the curve may cross unseen. */
static bool dips(const double *net, size_t i) {
    return fabs(net[i]) <= fabs(net[i - 1]) && fabs(net[i]) <= fabs(net[i + 1]);
}

static void look_for_pair(const sw_balance_request *request, sw_balance *balance,
                          const double *grid, const double *net, size_t i) {
    bool positive = net[i] > 0;
    double speed = closest(request, grid[i - 1], grid[i + 1], positive ? 1 : -1);
    if ((net_at(request, speed) > 0) == positive)
        return;
    add_root(request, balance, grid[i - 1], speed, positive);
    add_root(request, balance, speed, grid[i + 1], !positive);
}

static void find_roots(const sw_balance_request *request, sw_balance *balance) {
    double grid[GRID_LIMIT];
    double net[GRID_LIMIT];
    size_t count = lay_grid(request, grid);
    for (size_t i = 0; i < count; i++)
        net[i] = net_at(request, grid[i]);
    for (size_t i = 0; i + 1 < count; i++) {
        bool positive = net[i] > 0;
        bool next_positive = net[i + 1] > 0;
        if (positive != next_positive)
            add_root(request, balance, grid[i], grid[i + 1], positive);
        else if (i > 0 && (net[i - 1] > 0) == positive && dips(net, i))
            look_for_pair(request, balance, grid, net, i);
    }
}

static int root_order(const void *a, const void *b) {
    return rising(&((const sw_root *)a)->speed_rad_s, &((const sw_root *)b)->speed_rad_s);
}

sw_balance sw_balance_find(const sw_balance_request *request) {
    sw_balance balance = {0};
    find_roots(request, &balance);
    qsort(balance.root, balance.roots, sizeof *balance.root, root_order);
    for (size_t i = 0; i < balance.roots; i++)
        if (balance.root[i].stable)
            balance.running_rad_s = balance.root[i].speed_rad_s;
    balance.starts = request->static_driving_nm > request->static_load_nm;
    if (balance.starts && balance.roots > 0 && balance.root[0].stable)
        balance.from_rest_rad_s = balance.root[0].speed_rad_s;
    return balance;
}
