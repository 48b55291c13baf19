#include "steel/transforming_material.hpp"

#include "conduction/for_every_processor.hpp"
#include "steel/grain.hpp"
#include "steel/loop_math.hpp"
#include "steel/reference_carbon.hpp"
#include "steel/shared_tables.hpp"
#include "steel/temper.hpp"
#include "steel/temper_nodes.hpp"
#include "steel/transformation.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace tq::steel {

namespace {
constexpr double table_from = -200, table_to = 1300;
/// Pearlite that forms hotter than this far below Ae1 is coarse: some 700 to 650 degC in carbon steels
/// (Krauss, Steels, 2nd ed. 2015, ch. 4; from memory).
constexpr double coarse_within_K = 75;
constexpr double converged_K = 1e-2; ///< last step of Newton's method: less than 1e-6 K is left
constexpr std::size_t together = 32; ///< nodes solved in one go where martensite moves in some of them
constexpr double never_degC = -1e9;  ///< no place is so cold
constexpr double full_clock = 40;    ///< exp(-40): nothing left
/// Tables of what pearlite and bainite leave over: up to the clock that leaves this share, in steps of this
/// much of the clock to 1 % (the table is then within 1e-6 of the law).
constexpr double nothing_left = 1e-10, clock_step = 4e-3;
constexpr double decay_from_degC = 60; ///< below it austenite outlasts any temper (1e-5 in ten hours)
/// The law was measured on tempering below 400 degC; hotter, it is held at that rate (assumption, no source),
/// and above Ae1 austenite stays.
constexpr double decay_law_to_degC = 400;

/// Grain growth is taken in when it has come to this part of D^n, 1 % of the diameter, and before it cools.
constexpr double growth_kept_back = 0.05;

/// The Koistinen-Marburger curve starts with a corner at Ms; over this half width about Ms it is rounded, so
/// that the capacity does not jump (numerical choice; the share formed is unchanged from Ms - onset_K on).
constexpr double onset_K = 4;
/// Martensite that has just formed goes back along the Koistinen-Marburger curve while its node warms. A node
/// that has lost as much as the first stands for [K], since it came onto the curve, leaves it at the end of a
/// step; none loses more than the second of the most it had, however often it swings. Without the play a node
/// that hardly moves would leave and find the curve in every step (numerical choice: the errors of slow steps
/// are some tenths of a kelvin). T(h) has no jump there: on grids with many nodes that warm, jumps, node
/// after node, cost every step.
constexpr double off_curve_K = 0.5, most_play_K = 2;
/// A node that has just left the curve stands on its end to within rounding: its capacity is that of warming.
constexpr double just_left_K = 1e-3;

/// Undercooling below Ms that counts, rounded at its start, and its slope.
struct Undercooling {
  double value, slope;
};
Undercooling undercooling(double below_ms) {
  if (below_ms >= onset_K)
    return {below_ms, 1};
  if (below_ms <= -onset_K)
    return {0, 0};
  const double s = below_ms + onset_K;
  return {s * s / (4 * onset_K), s / (2 * onset_K)};
}
/// Inverse of undercooling().value.
double below_ms_of(double value) {
  return value >= onset_K ? value : 2 * std::sqrt(onset_K * value) - onset_K;
}

double base_of(const records::PhaseProperties& upper, const records::PhaseProperties& lower,
               double upper_base, double at, double latent) {
  // base of `lower` so that upper(at) - lower(at) = latent
  return upper_base + (upper.c0 - lower.c0) * at + 0.5 * (upper.c1 - lower.c1) * at * at - latent;
}

/// The mean over `share` becomes that over share + more.
void add_to_mean(double& mean, double share, double value, double more) {
  if (more > 0)
    mean += (value - mean) * more / (std::max(share, 0.0) + more);
}

// The loops over all nodes that run in every evaluation, without branches so that they become vectors.

/// Committed shares and clocks of a cooling stage, all [nodes].
struct Decomposing {
  const double *austenite, *pearlite_clock, *bainite_clock, *pearlite_clock_before, *bainite_clock_before,
      *pearlite_left, *bainite_left;
};

/// Austenite turned since the last commit and the part of it that became bainite.
TQ_FOR_EVERY_PROCESSOR(void, decompose,
                       (std::size_t nodes, const Decomposing& of,
                        const conduction::UniformTable& pearlite_left_over,
                        const conduction::UniformTable& bainite_left_over, double* __restrict moved,
                        double* __restrict moved_bainite),
                       (nodes, of, pearlite_left_over, bainite_left_over, moved, moved_bainite)) {
  const conduction::UniformTable::View by_pearlite_left = pearlite_left_over.view(),
                                       by_bainite_left = bainite_left_over.view();
  const double* __restrict austenite = of.austenite;
  const double* __restrict pearlite_clock = of.pearlite_clock;
  const double* __restrict bainite_clock = of.bainite_clock;
  const double* __restrict pearlite_before = of.pearlite_clock_before;
  const double* __restrict bainite_before = of.bainite_clock_before;
  const double* __restrict pearlite_left = of.pearlite_left;
  const double* __restrict bainite_left = of.bainite_left;
  for (std::size_t n = 0; n < nodes; ++n) {
    const double p = by_pearlite_left.value(pearlite_clock[n]), b = by_bainite_left.value(bainite_clock[n]);
    const double p0 = pearlite_left[n], b0 = bainite_left[n], before = p0 * b0, now = p * b;
    const bool runs = (pearlite_clock[n] > pearlite_before[n]) | (bainite_clock[n] > bainite_before[n]);
    const bool turns = runs & (austenite[n] > 0) & (before > 1e-9) & (now < before);
    const double all = turns ? austenite[n] * (1 - now / (turns ? before : 1.0)) : 0.0;
    // shares in proportion to the logarithms of the survivals, -ln(r) = 2 (1 - r)/(1 + r) over one step
    const double lost_p = p < p0 ? p0 - p : 0.0, lost_b = b < b0 ? b0 - b : 0.0;
    const double by_pearlite = lost_p * (b0 + b), by_bainite = lost_b * (p0 + p),
                 by = by_pearlite + by_bainite;
    moved[n] = all;
    moved_bainite[n] = by > 0 ? all * by_bainite / (by > 0 ? by : 1.0) : 0.0;
  }
}

/// Austenite that has gone since the last commit (negative: formed); below Ac1 and after the end the
/// committed shares stand.
TQ_FOR_EVERY_PROCESSOR(void, form,
                       (std::size_t nodes, const double* __restrict austenite,
                        const double* __restrict formed, const double* __restrict matrix,
                        const double* __restrict clock, double* __restrict moved,
                        double* __restrict moved_bainite),
                       (nodes, austenite, formed, matrix, clock, moved, moved_bainite)) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const double a = clock[n], positive = a > 0.0 ? a : 0.0;
    const double by_now = austenite[n] - (1.0 - exp_minus(positive)) * matrix[n];
    moved[n] = ((a > 0.0) & (formed[n] < 1.0 - 1e-12)) ? by_now : 0.0;
    moved_bainite[n] = 0.0;
  }
}

/// Whether austenite is forming in some node: its clock lies between the start and the end.
TQ_FOR_EVERY_PROCESSOR(bool, some_form, (std::size_t nodes, const double* __restrict clock), (nodes, clock)) {
  double any = 0.0;
  for (std::size_t n = 0; n < nodes; ++n)
    any = ((clock[n] > 0.0) & (clock[n] < full_clock)) ? 1.0 : any;
  return any > 0.0;
}

/// d formed/dt = rate (equilibrium - formed), formed = 1 - exp(-clock); nothing goes back.
TQ_FOR_EVERY_PROCESSOR(void, forming_rates,
                       (std::size_t nodes, const conduction::UniformTable& austenite_rate,
                        const conduction::UniformTable& ferrite_stays, const double* __restrict T,
                        const double* __restrict clock, double* __restrict rate, double* __restrict rests),
                       (nodes, austenite_rate, ferrite_stays, T, clock, rate, rests)) {
  const conduction::UniformTable::View by_T = austenite_rate.view(), stays_at = ferrite_stays.view();
  const auto set = [&](std::size_t n, double left) __attribute__((always_inline)) {
    const double a = clock[n], stays = stays_at.value(T[n]), all = by_T.value(T[n]);
    const double open = 1.0 - (stays > 0.0 ? stays : 0.0) / left, positive = open > 0.0 ? open : 0.0;
    rate[n] = (a < full_clock ? all : 0.0) * positive;
    rests[n] = 0.0;
  };
  if (some_form(nodes, clock)) {
    for (std::size_t n = 0; n < nodes; ++n)
      set(n, exp_minus(clock[n] > 0.0 ? clock[n] : 0.0));
  } else { // the same without the exponential, which is 1 before and does not count behind
    for (std::size_t n = 0; n < nodes; ++n)
      set(n, 1.0);
  }
}

/// What a unit of austenite that has turned changes: base, c0 and c1 of pearlite over austenite, base of
/// bainite.
struct Turned {
  double austenite_base, bainite_base, c0, c1;
};

/// The Curie bell: a triangle of c from `from` to `from` + 2 `half_width`, `rise` its slope per share
/// [J/kgK2].
struct Bell {
  double from, half_width, rise;
};

/// T [degC] of h(T) = base + c0 T + c1 T^2/2 + bell, the shares moved taken in: a parabola before, on both
/// sides of the peak and behind the bell, each from its own start.
TQ_FOR_EVERY_PROCESSOR(void, temperatures,
                       (std::size_t nodes, const double* __restrict u, const double* __restrict base,
                        const double* __restrict c0, const double* __restrict c1,
                        const double* __restrict bell, const double* __restrict moved,
                        const double* __restrict moved_bainite, const Turned& turned, const Bell& shape,
                        double* __restrict T),
                       (nodes, u, base, c0, c1, bell, moved, moved_bainite, turned, shape, T)) {
  const double base_austenite = turned.austenite_base, base_bainite = turned.bainite_base;
  const double dc0 = turned.c0, dc1 = turned.c1;
  const double from = shape.from, w = shape.half_width, rise = shape.rise;
  for (std::size_t n = 0; n < nodes; ++n) {
    const double above = u[n] - base[n] + moved[n] * base_austenite - moved_bainite[n] * base_bainite;
    const double a = c0[n] + moved[n] * dc0, b = c1[n] + moved[n] * dc1, q = (bell[n] + moved[n]) * rise;
    const double h_from = from * (a + 0.5 * b * from), c_from = a + b * from;
    const double h_peak = h_from + w * (c_from + 0.5 * (b + q) * w), c_peak = c_from + (b + q) * w;
    const double h_end = h_peak + w * (c_peak + 0.5 * (b - q) * w), c_end = c_peak + (b - q) * w;
    double start = 0, h = 0, c = a, slope = b;
    start = above > h_from ? from : start;
    h = above > h_from ? h_from : h;
    c = above > h_from ? c_from : c;
    slope = above > h_from ? b + q : slope;
    start = above > h_peak ? from + w : start;
    h = above > h_peak ? h_peak : h;
    c = above > h_peak ? c_peak : c;
    slope = above > h_peak ? b - q : slope;
    start = above > h_end ? from + 2 * w : start;
    h = above > h_end ? h_end : h;
    c = above > h_end ? c_end : c;
    slope = above > h_end ? b : slope;
    T[n] = start + 2 * (above - h) / (c + std::sqrt(c * c + 2 * slope * (above - h)));
  }
}

/// Capacity [J/kgK] of h(T) with the shares moved, martensite at rest.
TQ_FOR_EVERY_PROCESSOR(void, capacities,
                       (std::size_t nodes, const double* __restrict c0, const double* __restrict c1,
                        const double* __restrict bell, const double* __restrict moved, const Turned& turned,
                        const Bell& shape, const double* __restrict T, double* __restrict c),
                       (nodes, c0, c1, bell, moved, turned, shape, T, c)) {
  const double dc0 = turned.c0, dc1 = turned.c1, from = shape.from, w = shape.half_width, rise = shape.rise;
  for (std::size_t n = 0; n < nodes; ++n) {
    const double t = T[n], over = t - from, in = over > 0.0 ? over : 0.0;
    const double rising = in < w ? in : w, past = in - w, started = past > 0.0 ? past : 0.0;
    const double falling = started < w ? started : w;
    c[n] = c0[n] + c1[n] * t + moved[n] * (dc0 + dc1 * t) + (bell[n] + moved[n]) * rise * (rising - falling);
  }
}

/// Nodes with their capacities and clocks, for the heat [K] that a unit of the clocks stands for.
struct WithClock {
  const double *T, *c, *austenite, *moved, *clock;
};
/// Heat [J/kg] of austenite over pearlite.
[[gnu::always_inline]] inline double latent_heat(const Turned& of, double t) {
  return of.austenite_base - t * of.c0 - 0.5 * t * t * of.c1;
}
TQ_FOR_EVERY_PROCESSOR(void, heat_of_forming,
                       (std::size_t nodes, const Turned& turned, const WithClock& of,
                        double* __restrict of_austenite, double* __restrict of_nothing),
                       (nodes, turned, of, of_austenite, of_nothing)) {
  const Turned by = turned;
  const double* __restrict T = of.T, * __restrict c = of.c, * __restrict clock = of.clock;
  const auto set = [&](std::size_t n, double left) __attribute__((always_inline)) {
    const double open = clock[n] < full_clock ? 1.0 : 0.0;
    of_austenite[n] = open * (latent_heat(by, T[n]) / c[n]) * left;
    of_nothing[n] = 0.0;
  };
  if (some_form(nodes, clock)) {
    for (std::size_t n = 0; n < nodes; ++n)
      set(n, exp_minus(clock[n] > 0.0 ? clock[n] : 0.0));
  } else {
    for (std::size_t n = 0; n < nodes; ++n)
      set(n, 1.0);
  }
}
TQ_FOR_EVERY_PROCESSOR(void, heat_of_turning,
                       (std::size_t nodes, const Turned& turned, const WithClock& of,
                        const conduction::UniformTable& pearlite_left_over,
                        const conduction::UniformTable& bainite_left_over, double* __restrict of_pearlite,
                        double* __restrict of_bainite),
                       (nodes, turned, of, pearlite_left_over, bainite_left_over, of_pearlite, of_bainite)) {
  const conduction::UniformTable::View pearlite = pearlite_left_over.view(),
                                       bainite = bainite_left_over.view();
  const Turned by = turned;
  const double* __restrict T = of.T, * __restrict c = of.c, * __restrict clock = of.clock;
  const double* __restrict austenite = of.austenite, * __restrict moved = of.moved;
  for (std::size_t n = 0; n < nodes; ++n) {
    const double left = austenite[n] - moved[n], turns = left > 1e-6 ? left : 0.0;
    const double heat = -(latent_heat(by, T[n]) / c[n]) * turns;
    of_pearlite[n] = heat * pearlite.slope(clock[n]);
    of_bainite[n] = heat * bainite.slope(clock[nodes + n]);
  }
}
TQ_FOR_EVERY_PROCESSOR(void, heat_of_decay,
                       (std::size_t nodes, const Turned& turned, const WithClock& of,
                        double* __restrict of_austenite, double* __restrict of_nothing),
                       (nodes, turned, of, of_austenite, of_nothing)) {
  const Turned by = turned;
  const double* __restrict T = of.T, * __restrict c = of.c, * __restrict clock = of.clock;
  const double* __restrict austenite = of.austenite, * __restrict moved = of.moved;
  for (std::size_t n = 0; n < nodes; ++n) {
    of_austenite[n] =
        (latent_heat(by, T[n]) - by.bainite_base) / c[n] * (austenite[n] - moved[n]) * 2.0 * clock[n];
    of_nothing[n] = 0.0;
  }
}

/// k = k0 + k1 T of each node and the same of what has moved and grown since the last commit; where T is not
/// a number k carries it, and T becomes a sane guess for the next call.
struct Conductivity {
  double k0, k1;
};
TQ_FOR_EVERY_PROCESSOR(void, conductivities,
                       (std::size_t nodes, const double* __restrict k0, const double* __restrict k1,
                        const double* __restrict moved, const double* __restrict grown, Conductivity of_moved,
                        Conductivity of_grown, double* __restrict T, double* __restrict k),
                       (nodes, k0, k1, moved, grown, of_moved, of_grown, T, k)) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const double t = T[n];
    k[n] = k0[n] + k1[n] * t + moved[n] * (of_moved.k0 + of_moved.k1 * t) +
           grown[n] * (of_grown.k0 + of_grown.k1 * t);
    T[n] = t == t ? t : 20.0;
  }
}

/// A node on the way to its temperature when martensite moves: h(T) of what else it holds, and its
/// martensite.
struct OnCurve {
  double u, base, c0, c1, bell, available, martensite, least, ms, alpha, moves_below;
  double step_base, step_c0, step_c1, bell_from, bell_half_width, bell_rise, rounding;
  double t, grown, dt;

  /// One step of Newton's method.
  [[gnu::always_inline]] void improve() {
    // masks and bounds instead of branches that hang on each other, which g++ would not make into vectors
    const double w = bell_half_width, over = t - bell_from, in = over > 0.0 ? over : 0.0;
    const double rising = in < w ? in : w, past = in - w, started = past > 0.0 ? past : 0.0;
    const double falling = started < w ? started : w;
    const double bell_h = 0.5 * rising * rising + falling * (w - 0.5 * falling);
    const double bell_c = rising - falling;
    const double below = ms - t, from_onset = below + onset_K, past_onset = below - onset_K;
    const double entered = from_onset > 0.0 ? from_onset : 0.0;
    const double round = entered < rounding ? entered : rounding;
    const double straight = past_onset > 0.0 ? past_onset : 0.0;
    const double left = exp_minus(alpha * (round * round * (0.25 / onset_K) + straight));
    const double by_curve = available * (1.0 - left) - martensite;
    const double moves = t < moves_below ? 1.0 : 0.0, free = by_curve > least ? moves : 0.0;
    const double bounded = by_curve > least ? by_curve : least;
    const double growth = moves * bounded;
    const double slope = -free * alpha * (round * (0.5 / onset_K)) * available * left;
    const double step = step_base + t * (step_c0 + 0.5 * step_c1 * t);
    const double h = base + t * (c0 + 0.5 * c1 * t) + bell * bell_rise * bell_h + growth * step;
    const double c =
        c0 + c1 * t + bell * bell_rise * bell_c + growth * (step_c0 + step_c1 * t) + slope * step;
    dt = (u - h) / c;
    t = t + dt;
    grown = growth + slope * dt;
  }
};

/// What is the same for all nodes of solve_on_curve().
struct CurveOfAll {
  double austenite_base, bainite_base, turned_c0, turned_c1; ///< as in Turned
  double step_base, step_c0, step_c1;                        ///< of martensite over austenite
  Bell bell;
  /// Width of the onset and highest guess: no constants, since g++ would tie their bounds together by
  /// branches.
  double rounding = 2 * onset_K, hottest = table_to;
};
/// Arrays of the nodes, all [nodes].
struct CurveOfNodes {
  const double *u, *smooth, *base, *c0, *c1, *bell, *moved, *moved_bainite, *austenite, *martensite, *most,
      *ms, *alpha, *moves_below;
};

/// Temperature and growth of the nodes whose martensite moves (of the others `smooth`), from the guess in T,
/// by three steps of Newton's method, the last one of `last_K`; true when that is too much for some node.
TQ_FOR_EVERY_PROCESSOR(bool, solve_on_curve,
                       (std::size_t first, std::size_t last, const CurveOfAll& all, const CurveOfNodes& of,
                        const double* __restrict T, double* __restrict found, double* __restrict grown,
                        double* __restrict last_K),
                       (first, last, all, of, T, found, grown, last_K)) {
  const double* __restrict u = of.u;
  const double* __restrict smooth = of.smooth;
  const double* __restrict base = of.base;
  const double* __restrict c0 = of.c0;
  const double* __restrict c1 = of.c1;
  const double* __restrict bell = of.bell;
  const double* __restrict moved = of.moved;
  const double* __restrict moved_bainite = of.moved_bainite;
  const double* __restrict austenite = of.austenite;
  const double* __restrict martensite = of.martensite;
  const double* __restrict most = of.most;
  const double* __restrict ms = of.ms;
  const double* __restrict alpha = of.alpha;
  const double* __restrict moves_below = of.moves_below;
  const CurveOfAll a = all;
  double any = 0;
  for (std::size_t n = first; n < last; ++n) {
    OnCurve x;
    const double m = moved[n];
    x.u = u[n];
    x.base = base[n] - m * a.austenite_base + moved_bainite[n] * a.bainite_base;
    x.c0 = c0[n] + m * a.turned_c0;
    x.c1 = c1[n] + m * a.turned_c1;
    x.bell = bell[n] + m;
    x.available = austenite[n] - m + martensite[n];
    x.martensite = martensite[n];
    const double play = most[n] - most_play_K * alpha[n] * austenite[n] - martensite[n];
    x.least = play < 0.0 ? play : 0.0;
    x.ms = ms[n];
    x.alpha = alpha[n];
    x.moves_below = moves_below[n];
    x.step_base = a.step_base;
    x.step_c0 = a.step_c0;
    x.step_c1 = a.step_c1;
    x.bell_from = a.bell.from;
    x.bell_half_width = a.bell.half_width;
    x.bell_rise = a.bell.rise;
    const double guess = T[n], floored = guess > table_from ? guess : table_from;
    x.t = floored < a.hottest ? floored : a.hottest;
    x.rounding = a.rounding;
    x.improve();
    x.improve();
    const bool moves = !(smooth[n] >= moves_below[n]);
    const double size = x.dt > 0.0 ? x.dt : -x.dt;
    found[n] = moves ? x.t : smooth[n];
    grown[n] = moves ? x.grown : 0.0;
    last_K[n] = size;
    any = size < converged_K ? any : 1.0;
  }
  return any > 0;
}

/// Takes the smooth temperatures but where martensite moves or the number is none; true when there are such.
TQ_FOR_EVERY_PROCESSOR(bool, take_smooth,
                       (std::size_t first, std::size_t last, const double* __restrict smooth,
                        const double* __restrict below, double* __restrict T, double* __restrict grown),
                       (first, last, smooth, below, T, grown)) {
  double left = 0;
  for (std::size_t n = first; n < last; ++n) {
    const double t = smooth[n];
    const bool taken = t >= below[n];
    T[n] = taken ? t : T[n];
    grown[n] = 0;
    left = taken ? left : 1.0;
  }
  return left > 0;
}

/// Temperatures from the smooth ones and, where martensite moves, from its curve; `one_by_one` solves the few
/// nodes that are too far off.
template <class Solve>
void follow_curve(std::size_t nodes, const CurveOfAll& all, const CurveOfNodes& of, double* T, double* found,
                  double* grown, double* last_K, Solve&& one_by_one) {
  for (std::size_t first = 0; first < nodes; first += together) {
    const std::size_t last = std::min(first + together, nodes);
    if (!take_smooth(first, last, of.smooth, of.moves_below, T, grown))
      continue;
    bool open = true;
    for (int attempt = 0; open && attempt < 2; ++attempt) {
      open = solve_on_curve(first, last, all, of, T, found, grown, last_K);
      std::copy(found + first, found + last, T + first);
    }
    for (std::size_t n = first; open && n < last; ++n)
      if (!(of.smooth[n] >= of.moves_below[n]) && !(last_K[n] < converged_K))
        T[n] = one_by_one(n);
  }
}

/// Rates of pearlite and bainite, table(T) times factor, where austenite is left; the tables have the same
/// places.
struct Decomposition {
  const conduction::UniformTable &pearlite, &bainite;
  const double *pearlite_factor, *bainite_factor;
};
TQ_FOR_EVERY_PROCESSOR(void, decomposition_rates,
                       (std::size_t nodes, const Decomposition& by, const double* __restrict T,
                        const double* __restrict austenite, const double* __restrict moved,
                        double* __restrict pearlite, double* __restrict bainite),
                       (nodes, by, T, austenite, moved, pearlite, bainite)) {
  const conduction::UniformTable::View of_pearlite = by.pearlite.view(), of_bainite = by.bainite.view();
  const double* __restrict pearlite_factor = by.pearlite_factor;
  const double* __restrict bainite_factor = by.bainite_factor;
  for (std::size_t n = 0; n < nodes; ++n) {
    const double left = austenite[n] - moved[n] > 1e-6 ? 1.0 : 0.0;
    const double s = of_pearlite.inside((T[n] - of_pearlite.from) * of_pearlite.inverse_step);
    const int i = static_cast<int>(s);
    const double p = of_pearlite.y[i] + (s - i) * (of_pearlite.y[i + 1] - of_pearlite.y[i]);
    const double b = of_bainite.y[i] + (s - i) * (of_bainite.y[i + 1] - of_bainite.y[i]);
    pearlite[n] = left * p * pearlite_factor[n];
    bainite[n] = left * b * bainite_factor[n];
  }
}
/// Clocks so long [s] ahead at the present rates.
TQ_FOR_EVERY_PROCESSOR(void, look_ahead,
                       (std::size_t size, const double* __restrict clock, const double* __restrict rate,
                        double seconds, double* __restrict ahead),
                       (size, clock, rate, seconds, ahead)) {
  for (std::size_t n = 0; n < size; ++n)
    ahead[n] = clock[n] + seconds * rate[n];
}
TQ_FOR_EVERY_PROCESSOR(void, add_to_clocks,
                       (std::size_t size, const double* __restrict rate, double seconds,
                        double* __restrict clock),
                       (size, rate, seconds, clock)) {
  for (std::size_t n = 0; n < size; ++n)
    clock[n] += seconds * rate[n];
}
/// Greatest of some numbers, at least 0.
TQ_FOR_EVERY_PROCESSOR(double, greatest, (std::size_t size, const double* __restrict of), (size, of)) {
  constexpr std::size_t each = 8;
  double most[each] = {};
  std::size_t n = 0;
  for (; n + each <= size; n += each)
    for (std::size_t l = 0; l < each; ++l)
      most[l] = of[n + l] > most[l] ? of[n + l] : most[l];
  for (; n < size; ++n)
    most[0] = of[n] > most[0] ? of[n] : most[0];
  return *std::max_element(most, most + each);
}
/// Austenite that a temper has turned since the last commit: austenite_left() of the clock over that of the
/// one before.
TQ_FOR_EVERY_PROCESSOR(void, decay_of_austenite,
                       (std::size_t nodes, const double* __restrict austenite,
                        const double* __restrict before, const double* __restrict clock,
                        double* __restrict moved, double* __restrict moved_bainite),
                       (nodes, austenite, before, clock, moved, moved_bainite)) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const double c = clock[n], b = before[n], grown = c > b ? c * c - b * b : 0.0;
    moved[n] = moved_bainite[n] = austenite[n] * (1.0 - exp_minus(grown));
  }
}

TQ_FOR_EVERY_PROCESSOR(void, look_up,
                       (std::size_t nodes, const conduction::UniformTable& table, const double* __restrict T,
                        double* __restrict value),
                       (nodes, table, T, value)) {
  const conduction::UniformTable::View of = table.view();
  for (std::size_t n = 0; n < nodes; ++n)
    value[n] = of.value(T[n]);
}
/// Takes over what a temper has turned.
TQ_FOR_EVERY_PROCESSOR(void, take_decay,
                       (std::size_t nodes, const double* __restrict clock, double* __restrict austenite,
                        double* __restrict bainite, double* __restrict tempered_austenite,
                        double* __restrict clock_before, double* __restrict decay, double* __restrict moved,
                        double* __restrict moved_bainite),
                       (nodes, clock, austenite, bainite, tempered_austenite, clock_before, decay, moved,
                        moved_bainite)) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const double m = moved[n] > 0.0 ? moved[n] : 0.0, left = austenite[n] - m;
    austenite[n] = left > 0.0 ? left : 0.0;
    bainite[n] = bainite[n] + m;
    tempered_austenite[n] = tempered_austenite[n] + m;
    const double now = clock[n], before = clock_before[n], held = decay[n];
    clock_before[n] = m > 0.0 ? now : before;
    decay[n] = m > 0.0 ? now : held;
    moved[n] = moved_bainite[n] = 0.0;
  }
}
/// A figure of the mixture: a of the first share, m of the second, and of what is left, or of the third where
/// it is given.
struct Mixed {
  double austenite, martensite, other;
};
TQ_FOR_EVERY_PROCESSOR(void, mix,
                       (std::size_t nodes, const double* __restrict austenite,
                        const double* __restrict martensite, const double* __restrict other, Mixed of,
                        double* __restrict out),
                       (nodes, austenite, martensite, other, of, out)) {
  if (other) {
    for (std::size_t n = 0; n < nodes; ++n)
      out[n] = austenite[n] * of.austenite + martensite[n] * of.martensite + other[n] * of.other;
  } else {
    for (std::size_t n = 0; n < nodes; ++n) {
      const double a = austenite[n], m = martensite[n];
      out[n] = a * of.austenite + m * of.martensite + (1.0 - a - m) * of.other;
    }
  }
}
/// All figures of a record that a law of decomposition may rest on.
std::vector<double> figures_of_law(const records::SteelRecord& steel) {
  static_assert(sizeof(records::Composition) == 11 * sizeof(double) &&
                    sizeof(records::Transformation) == (7 + 11) * sizeof(double) &&
                    sizeof(records::ConstituentHardness) == 6 * sizeof(double),
                "a new figure belongs into this list");
  const records::Transformation& t = steel.transformation;
  const records::ConstituentHardness& h = steel.hardness;
  std::vector<double> out{reference_carbon(steel),
                          steel.phases.pearlite_exponent,
                          steel.phases.bainite_exponent,
                          t.pearlite_factor,
                          t.bainite_factor,
                          t.grain_number,
                          t.ms_offset_K,
                          t.km_alpha_per_K,
                          h.pearlite_HV,
                          h.bainite_HV,
                          h.ferrite_HV,
                          h.cementite_HV,
                          h.retained_austenite_HV,
                          h.martensite_offset_HV};
  for (const records::Composition* wt : {&steel.composition, &t.matrix})
    out.insert(out.end(),
               {wt->C, wt->Mn, wt->Si, wt->Cr, wt->Ni, wt->Mo, wt->W, wt->V, wt->Cu, wt->P, wt->S});
  return out;
}
/// What a steel's material looks up.
struct Tables {
  conduction::UniformTable austenite_rate, ferrite_stays, dissolution_rate, fine_rate, saturation,
      pearlite_rate, bainite_rate, decay_rate, growth_rate, pearlite_hardness, bainite_hardness,
      pearlite_left_over, bainite_left_over;
};
Tables tables_of(const records::SteelRecord& steel, records::StartState start, const DecompositionLaw& law) {
  Tables out;
  const records::Austenitising& a = steel.austenitising;
  const records::Composition& wt = steel.composition;
  const auto table = [](const char* what, std::vector<double> rests_on, const auto& f) {
    return shared_table({what, std::move(rests_on)}, table_from, table_to, 1.0, f);
  };
  const double from = ac1(steel), ae1 = law.ae1();
  out.austenite_rate =
      table("austenite's rate", {from, a.growth_halving_K, a.growth_above_K, a.growth_time_s},
            [&](double T) { return steel::austenite_rate(steel, T); });
  out.ferrite_stays = table("ferrite that stays", {from, ac1_end(steel)},
                            [&](double T) { return 1.0 - austenite_equilibrium(steel, T); });
  const auto dissolution = [&](records::StartState of) {
    return table("dissolution",
                 {of == records::StartState::spheroidised ? a.dissolution_time_spheroidised_s
                                                          : a.dissolution_time_fine_s,
                  a.dissolution_energy_J_mol, a.dissolution_at_degC},
                 [&](double T) { return steel::dissolution_rate(steel, of, T); });
  };
  out.dissolution_rate = dissolution(start);
  out.fine_rate = dissolution(records::StartState::fine_pearlite);
  out.saturation = table("saturation", {wt.C, ae1_grange(wt), eutectoid_carbon(wt)},
                         [&](double T) { return saturation_carbon(steel, T); });
  out.decay_rate = table("decay", {ae1}, [ae1](double T) {
    return T < decay_from_degC || T > ae1 ? 0.0
                                          : austenite_decomposition_rate(std::min(T, decay_law_to_degC));
  });
  out.growth_rate = table("grain growth", {}, grain_growth_rate);
  const std::vector<double> of_law = figures_of_law(steel);
  out.pearlite_rate = table("pearlite's rate", of_law, [&](double T) { return law.pearlite_rate(T); });
  out.bainite_rate = table("bainite's rate", of_law, [&](double T) { return law.bainite_rate(T); });
  out.pearlite_hardness =
      table("pearlite's hardness", of_law, [&](double T) { return law.hardness_HV(Product::pearlite, T); });
  out.bainite_hardness =
      table("bainite's hardness", of_law, [&](double T) { return law.hardness_HV(Product::bainite, T); });
  const auto left_over = [&](const char* what, Product product) {
    return shared_table({what, of_law}, 0, law.clock_at(product, 1 - nothing_left), clock_step,
                        [&](double s) { return 1 - law.fraction(product, s); });
  };
  out.pearlite_left_over = left_over("left over by pearlite", Product::pearlite);
  out.bainite_left_over = left_over("left over by bainite", Product::bainite);
  return out;
}
} // namespace

TransformingMaterial::TransformingMaterial(const records::SteelRecord& steel, records::StartState start,
                                           std::size_t nodes)
    : steel_(steel), start_(start), born_(born_carbon(steel)),
      decomposition_(decomposition_law(steel, reference_carbon(steel))) {
  const auto& p = steel.phases;
  // ferrite and pearlite have base 0
  base_austenite_ = base_of(p.pearlite, p.austenite, bell(p.latent_pearlite_at_degC),
                            p.latent_pearlite_at_degC, -p.latent_pearlite_J_kg);
  base_bainite_ =
      base_of(p.austenite, p.pearlite, base_austenite_, p.latent_bainite_at_degC, p.latent_bainite_J_kg);
  base_martensite_ = base_of(p.austenite, p.martensite, base_austenite_, p.latent_martensite_at_degC,
                             p.latent_martensite_J_kg);
  Tables tables = tables_of(steel, start, *decomposition_);
  austenite_rate_ = std::move(tables.austenite_rate);
  ferrite_stays_ = std::move(tables.ferrite_stays);
  dissolution_rate_ = std::move(tables.dissolution_rate);
  fine_rate_ = std::move(tables.fine_rate);
  saturation_ = std::move(tables.saturation);
  pearlite_rate_ = std::move(tables.pearlite_rate);
  bainite_rate_ = std::move(tables.bainite_rate);
  decay_rate_ = std::move(tables.decay_rate);
  growth_rate_ = std::move(tables.growth_rate);
  pearlite_hardness_ = std::move(tables.pearlite_hardness);
  bainite_hardness_ = std::move(tables.bainite_hardness);
  pearlite_left_over_ = std::move(tables.pearlite_left_over);
  bainite_left_over_ = std::move(tables.bainite_left_over);
  for (auto* v :
       {&austenite_, &martensite_, &bainite_, &pearlite_, &cementite_, &formed_, &fresh_, &pearlite_hv_,
        &bainite_hv_, &tempered_austenite_, &growth_, &growth_at_, &fine_carbon_, &coarse_pearlite_})
    v->assign(nodes, 0);
  grain_.assign(nodes, grain_as_formed);
  grain_power_.assign(nodes, grain_power(grain_as_formed));
  ferrite_.assign(nodes, 1);
  carbon_.assign(nodes, born_);
  pearlite_left_.assign(nodes, 1);
  bainite_left_.assign(nodes, 1);
  pearlite_factor_.assign(nodes, 1);
  bainite_factor_.assign(nodes, 1);
  ms_.assign(nodes, martensite_start(steel_, born_));
  martensite_below_.assign(nodes, never_degC);
  moves_below_.assign(nodes, never_degC);
  on_curve_.assign(nodes, 0);
  most_martensite_.assign(nodes, 0);
  peak_martensite_.assign(nodes, 0);
  alpha_.assign(nodes, martensite_rate(steel_, born_));
  decay_.assign(nodes, 0);
  matrix_.assign(nodes, 1 - undissolved_cementite(steel_, born_));
  clock_before_.assign(2 * nodes, 0);
  for (auto* v : {&mixture_.base, &mixture_.c0, &mixture_.c1, &mixture_.bell, &mixture_.k0, &mixture_.k1,
                  &found_, &last_K_, &moved_, &moved_bainite_, &grown_})
    v->assign(nodes, 0);
  for (std::size_t n = 0; n < nodes; ++n)
    take_mixture(n);
}

void TransformingMaterial::austenitise(double T) {
  const double C = saturation_carbon(steel_, T);
  const double undissolved = undissolved_cementite(steel_, C);
  for (std::size_t n = 0; n < ferrite_.size(); ++n) {
    formed_[n] = 1;
    grain_[n] = grain_diameter(steel_.transformation.grain_number);
    grain_power_[n] = grain_power(grain_[n]);
    carbon_[n] = C;
    matrix_[n] = 1 - undissolved;
    cementite_[n] = undissolved;
    austenite_[n] = matrix_[n];
    ferrite_[n] = martensite_[n] = bainite_[n] = pearlite_[n] = tempered_austenite_[n] = 0;
    take_mixture(n);
  }
}

bool TransformingMaterial::take_apart(std::size_t n) {
  const double product = martensite_[n] + bainite_[n] + pearlite_[n];
  if (!(product > 0))
    return false;
  fine_carbon_[n] = carbon_[n] * (1 - coarse_pearlite_[n] / (product + austenite_[n]));
  formed_[n] = austenite_[n] / matrix_[n];
  ferrite_[n] = 1 - formed_[n];
  cementite_[n] = formed_[n] * (1 - matrix_[n]);
  martensite_[n] = bainite_[n] = pearlite_[n] = coarse_pearlite_[n] = 0;
  pearlite_hv_[n] = bainite_hv_[n] = tempered_austenite_[n] = 0;
  take_mixture(n);
  return true;
}

double TransformingMaterial::forming_clock(std::size_t n) const {
  return formed_[n] >= 1 ? full_clock : -math::log1p(-formed_[n]);
}

/// Shares that follow from the share formed and its carbon.
void TransformingMaterial::take_formed(std::size_t n) {
  matrix_[n] = 1 - undissolved_cementite(steel_, carbon_[n]);
  austenite_[n] = formed_[n] * matrix_[n];
  cementite_[n] = formed_[n] * (1 - matrix_[n]);
  ferrite_[n] = 1 - formed_[n];
}

bool TransformingMaterial::begin(TransformMode mode, double* clock) {
  const std::size_t nodes = ferrite_.size();
  bool anew = false;
  wake_clocks();
  if (mode == TransformMode::cooling && mode_ == TransformMode::cooling)
    return anew; // the clocks of an earlier cooling stage go on
  mode_ = mode;
  for (std::size_t n = 0; n < nodes; ++n) {
    clock[n] = clock[nodes + n] = 0;
    moved_[n] = moved_bainite_[n] = grown_[n] = 0;
    moves_below_[n] = never_degC;
    if (mode == TransformMode::heating) {
      const bool apart = take_apart(n);
      anew = anew || apart;
      clock[n] = forming_clock(n);
      if (formed_[n] <= 0 || (apart && formed_[n] < 0.5)) { // austenite will be born anew
        grain_[n] = grain_as_formed;
        grain_power_[n] = grain_power(grain_as_formed);
        growth_[n] = 0;
      }
      decay_[n] = 0;
    } else if (mode == TransformMode::tempering) {
      clock[n] = clock_before_[n] = decay_[n];
    } else {
      // what was kept back depends on where the steps fell, and the grain decides how much turns
      if (growth_[n] > 0)
        take_growth(n);
      pearlite_left_[n] = bainite_left_[n] = 1;
      clock_before_[n] = clock_before_[nodes + n] = 0;
      pearlite_factor_[n] = decomposition_->carbon_factor(Product::pearlite, carbon_[n]) *
                            decomposition_->grain_factor(Product::pearlite, grain_number(grain_[n]));
      bainite_factor_[n] = decomposition_->carbon_factor(Product::bainite, carbon_[n]) *
                           decomposition_->grain_factor(Product::bainite, grain_number(grain_[n]));
      ms_[n] = martensite_start(steel_, carbon_[n]);
      alpha_[n] = martensite_rate(steel_, carbon_[n]);
      on_curve_[n] = 0;
      most_martensite_[n] = peak_martensite_[n] = martensite_[n];
      take_martensite_point(n);
    }
  }
  return anew;
}

TransformingMaterial TransformingMaterial::column_means(std::size_t columns) const {
  TransformingMaterial out = *this;
  for (auto* v : {&out.austenite_,
                  &out.martensite_,
                  &out.bainite_,
                  &out.pearlite_,
                  &out.ferrite_,
                  &out.cementite_,
                  &out.tempered_austenite_,
                  &out.decay_,
                  &out.ms_,
                  &out.alpha_,
                  &out.most_martensite_,
                  &out.moved_,
                  &out.moved_bainite_,
                  &out.grown_,
                  &out.found_,
                  &out.last_K_,
                  &out.mixture_.base,
                  &out.mixture_.c0,
                  &out.mixture_.c1,
                  &out.mixture_.bell,
                  &out.mixture_.k0,
                  &out.mixture_.k1})
    v->assign(columns, 0);
  out.mode_ = TransformMode::tempering;
  out.clock_before_.assign(2 * columns, 0);
  out.moves_below_.assign(columns, never_degC);
  out.ferrite_.assign(columns, 1); // as long as nothing is told
  return out;
}

bool TransformingMaterial::alike_in(std::size_t columns) const {
  constexpr double share = 0.005, carbon = 0.002, power = 0.05; // of a whole, wt%, of D^n
  for (std::size_t n = columns; n < formed_.size(); ++n) {
    const std::size_t first = n % columns;
    const auto apart = [&](const std::vector<double>& of) { return std::abs(of[n] - of[first]); };
    if (apart(formed_) > share || apart(carbon_) > carbon || apart(fine_carbon_) > carbon ||
        std::abs((grain_power_[n] + growth_[n]) - (grain_power_[first] + growth_[first])) >
            power * grain_power_[first])
      return false;
  }
  return true;
}

bool TransformingMaterial::cools_alike_in(std::size_t columns, const std::vector<double>& T) const {
  constexpr double ms_K = 0.1, share = 1e-3, alpha = 1e-3; // of a whole, of the first node's
  if (!rests_ || greatest(rates_.size(), rates_.data()) > 0)
    return false;
  for (std::size_t n = 0; n < T.size(); ++n) {
    const std::size_t first = n % columns;
    const double available = austenite_[n] + martensite_[n];
    if (!on_curve_[n] || !martensite_rests(T[n], 1) || std::abs(ms_[n] - ms_[first]) > ms_K ||
        std::abs(alpha_[n] - alpha_[first]) > alpha * alpha_[first] ||
        std::abs(available - austenite_[first] - martensite_[first]) > share)
      return false;
  }
  return true;
}

void TransformingMaterial::take_curve_means(const TransformingMaterial& nodes,
                                            const std::vector<double>& parts) {
  const std::size_t columns = ferrite_.size();
  for (auto figure : {&TransformingMaterial::ms_, &TransformingMaterial::alpha_}) {
    std::vector<double>& mean = this->*figure;
    std::fill(mean.begin(), mean.end(), 0.0);
    for (std::size_t n = 0; n < parts.size(); ++n)
      mean[n % columns] += parts[n] * (nodes.*figure)[n];
  }
  for (std::size_t i = 0; i < columns; ++i) {
    on_curve_[i] = 1;
    most_martensite_[i] = peak_martensite_[i] = martensite_[i];
  }
}

void TransformingMaterial::take_means(const TransformingMaterial& nodes, const std::vector<double>& mass,
                                      double* clock) {
  const std::size_t columns = ferrite_.size();
  std::vector<double> parts(mass), all(columns, 0.0), with_austenite(columns, 0.0);
  for (std::size_t n = 0; n < mass.size(); ++n)
    all[n % columns] += mass[n];
  for (std::size_t n = 0; n < mass.size(); ++n)
    parts[n] /= all[n % columns];
  mode_ = nodes.mode_;
  for (auto share :
       {&TransformingMaterial::austenite_, &TransformingMaterial::martensite_,
        &TransformingMaterial::bainite_, &TransformingMaterial::pearlite_, &TransformingMaterial::ferrite_,
        &TransformingMaterial::cementite_, &TransformingMaterial::tempered_austenite_}) {
    std::vector<double>& mean = this->*share;
    std::fill(mean.begin(), mean.end(), 0.0);
    for (std::size_t n = 0; n < mass.size(); ++n)
      mean[n % columns] += parts[n] * (nodes.*share)[n];
  }
  // the clock of the austenite that there is
  std::fill(decay_.begin(), decay_.end(), 0.0);
  for (std::size_t n = 0; n < mass.size(); ++n) {
    decay_[n % columns] += mass[n] * nodes.austenite_[n] * nodes.decay_[n];
    with_austenite[n % columns] += mass[n] * nodes.austenite_[n];
  }
  for (std::size_t i = 0; i < columns; ++i)
    decay_[i] = with_austenite[i] > 0 ? decay_[i] / with_austenite[i] : nodes.decay_[i];
  if (mode_ == TransformMode::heating)
    take_soak_means(nodes, parts);
  else if (mode_ == TransformMode::cooling)
    take_curve_means(nodes, parts);
  for (std::size_t i = 0; i < columns; ++i) {
    clock_before_[i] = clock[i] = decay_[i];
    if (mode_ == TransformMode::heating)
      clock[i] = forming_clock(i);
    clock[columns + i] = 0;
    moved_[i] = moved_bainite_[i] = grown_[i] = 0;
    take_threshold(i);
  }
  rests_ = mode_ == TransformMode::cooling;
  take_mixtures();
}

void TransformingMaterial::take_soak_means(const TransformingMaterial& nodes,
                                           const std::vector<double>& parts) {
  const std::size_t columns = ferrite_.size();
  for (auto figure : {&TransformingMaterial::formed_, &TransformingMaterial::carbon_,
                      &TransformingMaterial::fine_carbon_, &TransformingMaterial::grain_power_,
                      &TransformingMaterial::growth_, &TransformingMaterial::growth_at_}) {
    std::vector<double>& mean = this->*figure;
    mean.assign(columns, 0.0);
    for (std::size_t n = 0; n < parts.size(); ++n)
      mean[n % columns] += parts[n] * (nodes.*figure)[n];
  }
  grain_.resize(columns);
  matrix_.resize(columns);
  for (std::size_t i = 0; i < columns; ++i) {
    if (formed_[i] > 1 - 1e-12) // all nodes are at their end; sums of parts fall short by rounding
      formed_[i] = 1;
    grain_[i] = diameter_of(grain_power_[i]);
    take_formed(i);
  }
}

void TransformingMaterial::follow_curves(const TransformingMaterial& columns, const Turning& columns_from,
                                         const Turning& nodes_from) {
  const std::size_t count = columns_from.austenite.size();
  for (std::size_t n = 0; n < austenite_.size(); ++n) {
    const std::size_t i = n % count;
    const double before = columns_from.austenite[i], grown = columns.martensite_[i];
    const double left = before > 0 ? columns.austenite_[i] / before : 1;
    austenite_[n] = nodes_from.austenite[n] * left;
    martensite_[n] = nodes_from.martensite[n] + nodes_from.austenite[n] * (1 - left);
    const auto as_column = [&](const std::vector<double>& of) {
      return grown > 0 ? martensite_[n] * of[i] / grown : martensite_[n];
    };
    on_curve_[n] = columns.on_curve_[i];
    peak_martensite_[n] = as_column(columns.peak_martensite_);
    most_martensite_[n] = std::max(nodes_from.martensite[n], as_column(columns.most_martensite_));
    fresh_[n] = 0;
    take_martensite_point(n);
  }
}

void TransformingMaterial::follow(const TransformingMaterial& columns, const Turning& columns_from,
                                  const Turning& nodes_from) {
  const std::size_t count = columns_from.austenite.size();
  if (mode_ == TransformMode::heating) {
    for (auto figure :
         {&TransformingMaterial::austenite_, &TransformingMaterial::ferrite_,
          &TransformingMaterial::cementite_, &TransformingMaterial::formed_, &TransformingMaterial::matrix_,
          &TransformingMaterial::carbon_, &TransformingMaterial::fine_carbon_,
          &TransformingMaterial::grain_power_, &TransformingMaterial::growth_,
          &TransformingMaterial::growth_at_, &TransformingMaterial::grain_})
      for (auto row = (this->*figure).begin(); row != (this->*figure).end();
           row += static_cast<std::ptrdiff_t>(count))
        std::copy_n((columns.*figure).begin(), count, row);
    return;
  }
  if (mode_ == TransformMode::cooling)
    return follow_curves(columns, columns_from, nodes_from);
  for (std::size_t i = 0; i < count; ++i) {
    if (!(columns.austenite_[i] < columns_from.austenite[i]))
      continue;
    const double left = columns.austenite_[i] / columns_from.austenite[i],
                 more = columns.decay_[i] - columns_from.decay[i];
    for (std::size_t n = i; n < austenite_.size(); n += count) {
      const double moved = nodes_from.austenite[n] * (1 - left);
      austenite_[n] = nodes_from.austenite[n] - moved;
      bainite_[n] = nodes_from.bainite[n] + moved;
      tempered_austenite_[n] = nodes_from.tempered_austenite[n] + moved;
      clock_before_[n] = decay_[n] = nodes_from.decay[n] + more;
    }
  }
}

void TransformingMaterial::take_mixtures() {
  const auto& p = steel_.phases;
  const double *austenite = austenite_.data(), *martensite = martensite_.data();
  mix(ferrite_.size(), austenite, martensite, bainite_.data(),
      {base_austenite_, base_martensite_, base_bainite_}, mixture_.base.data());
  const auto of = [&](double records::PhaseProperties::*figure, std::vector<double>& out) {
    mix(ferrite_.size(), austenite, martensite, nullptr,
        {p.austenite.*figure, p.martensite.*figure, p.pearlite.*figure}, out.data());
  };
  of(&records::PhaseProperties::c0, mixture_.c0);
  of(&records::PhaseProperties::c1, mixture_.c1);
  of(&records::PhaseProperties::k0, mixture_.k0);
  of(&records::PhaseProperties::k1, mixture_.k1);
  mix(ferrite_.size(), austenite, martensite, nullptr, {0, 0, 1}, mixture_.bell.data());
}

void TransformingMaterial::take_growth(std::size_t n) {
  grain_power_[n] = grown_power(grain_power_[n], growth_[n], pinned_grain(steel_, carbon_[n], growth_at_[n]));
  grain_[n] = diameter_of(grain_power_[n]);
  growth_[n] = 0;
}

void TransformingMaterial::stabilise(double lag_K) {
  for (std::size_t n = 0; n < ms_.size(); ++n) {
    ms_[n] -= lag_K;
    on_curve_[n] = 0;
    take_martensite_point(n);
  }
}

void TransformingMaterial::take_martensite_point(std::size_t n) {
  if (on_curve_[n] && mode_ == TransformMode::cooling) { // not needed until the node leaves its curve
    take_threshold(n);
    return;
  }
  const double available = austenite_[n] + martensite_[n];
  const double left = available < 1e-9 ? 0 : austenite_[n] / available;
  if (left > 0 && left < 1)
    martensite_below_[n] = ms_[n] - below_ms_of(std::max(-math::log(left), 0.0) / alpha_[n]);
  else
    martensite_below_[n] = left > 0 ? ms_[n] + onset_K : never_degC;
  take_threshold(n);
}

double TransformingMaterial::bell(double T) const {
  const auto& p = steel_.phases;
  const double w = p.curie_peak_degC - p.curie_from_degC;
  if (T <= p.curie_from_degC || w <= 0)
    return 0;
  const double s = (T - p.curie_from_degC) / w; // triangle of c, area 1 over 0..2
  if (s < 1)
    return p.curie_heat_J_kg * 0.5 * s * s;
  if (s < 2)
    return p.curie_heat_J_kg * (1 - 0.5 * (2 - s) * (2 - s));
  return p.curie_heat_J_kg;
}

double TransformingMaterial::bell_capacity(double T) const {
  const auto& p = steel_.phases;
  const double w = p.curie_peak_degC - p.curie_from_degC;
  if (T <= p.curie_from_degC || w <= 0)
    return 0;
  const double s = (T - p.curie_from_degC) / w;
  return s < 2 ? p.curie_heat_J_kg / w * (s < 1 ? s : 2 - s) : 0;
}

void TransformingMaterial::take_mixture(std::size_t n) {
  const auto& p = steel_.phases;
  const double a = austenite_[n], m = martensite_[n],
               f = 1 - a - m; // bainite has the heat capacity of pearlite
  mixture_.base[n] = a * base_austenite_ + m * base_martensite_ + bainite_[n] * base_bainite_;
  mixture_.c0[n] = a * p.austenite.c0 + m * p.martensite.c0 + f * p.pearlite.c0;
  mixture_.c1[n] = a * p.austenite.c1 + m * p.martensite.c1 + f * p.pearlite.c1;
  mixture_.bell[n] = f;
  mixture_.k0[n] = a * p.austenite.k0 + m * p.martensite.k0 + f * p.pearlite.k0;
  mixture_.k1[n] = a * p.austenite.k1 + m * p.martensite.k1 + f * p.pearlite.k1;
}

double TransformingMaterial::enthalpy(std::size_t n, double T) const {
  return mixture_.base[n] + T * (mixture_.c0[n] + 0.5 * mixture_.c1[n] * T) + mixture_.bell[n] * bell(T);
}

void TransformingMaterial::take_threshold(std::size_t n) {
  if (mode_ != TransformMode::cooling)
    moves_below_[n] = never_degC;
  else
    moves_below_[n] = on_curve_[n] ? ms_[n] + onset_K : martensite_below_[n];
}

/// Least growth of martensite in a step: at most 0.
double TransformingMaterial::martensite_play(std::size_t n) const {
  return std::min(0.0, most_martensite_[n] - most_play_K * alpha_[n] * austenite_[n] - martensite_[n]);
}

void TransformingMaterial::move_heating(const double* clock, std::size_t nodes) {
  bool forms = false;
  for (std::size_t n = 0; n < nodes && !forms; ++n)
    forms = clock[n] > 0 && formed_[n] < 1 - 1e-12;
  if (forms) {
    form(nodes, austenite_.data(), formed_.data(), matrix_.data(), clock, moved_.data(),
         moved_bainite_.data());
  } else {
    std::fill_n(moved_.begin(), nodes, 0.0);
    std::fill_n(moved_bainite_.begin(), nodes, 0.0);
  }
}

void TransformingMaterial::move_cooling(const double* clock, std::size_t nodes) {
  if (rests_)
    return; // nothing has moved
  decompose(nodes,
            {austenite_.data(), clock, clock + nodes, clock_before_.data(), clock_before_.data() + nodes,
             pearlite_left_.data(), bainite_left_.data()},
            pearlite_left_over_, bainite_left_over_, moved_.data(), moved_bainite_.data());
}

void TransformingMaterial::move_tempering(const double* clock, std::size_t nodes) {
  decay_of_austenite(nodes, austenite_.data(), clock_before_.data(), clock, moved_.data(),
                     moved_bainite_.data());
}

double TransformingMaterial::solve_with_martensite(std::size_t n, double u, double guess) {
  const auto& p = steel_.phases;
  const double moved = moved_[n];
  const double base = mixture_.base[n] - moved * base_austenite_ + moved_bainite_[n] * base_bainite_;
  const double c0 = mixture_.c0[n] + moved * (p.pearlite.c0 - p.austenite.c0);
  const double c1 = mixture_.c1[n] + moved * (p.pearlite.c1 - p.austenite.c1);
  const double share = mixture_.bell[n] + moved;
  const double step_base = base_martensite_ - base_austenite_;
  const double step_c0 = p.martensite.c0 - p.austenite.c0, step_c1 = p.martensite.c1 - p.austenite.c1;
  const double least = martensite_play(n);
  double t = std::min(std::max(guess, table_from), table_to), grown = 0;
  for (int iteration = 0; iteration < 60; ++iteration) {
    double h = base + t * (c0 + 0.5 * c1 * t) + share * bell(t);
    double c = c0 + c1 * t + share * bell_capacity(t);
    double slope = 0;
    grown = 0;
    if (martensite_moves(n, t)) {
      const double available = austenite_[n] - moved + martensite_[n];
      const Undercooling below = undercooling(ms_[n] - t);
      const double left = math::exp(-alpha_[n] * below.value);
      const double by_curve = available * (1 - left) - martensite_[n];
      grown = std::max(by_curve, least);
      const double step = step_base + t * (step_c0 + 0.5 * step_c1 * t);
      h += grown * step;
      c += grown * (step_c0 + step_c1 * t);
      if (by_curve > least)
        slope = -alpha_[n] * below.slope * available * left;
      c += slope * step;
    }
    const double dt = (u - h) / c;
    t += dt;
    grown += slope * dt;
    if (std::abs(dt) < converged_K)
      break;
    if (!(std::abs(t) < 1e5)) {
      t = std::numeric_limits<double>::quiet_NaN(); // the stepper rejects the step
      break;
    }
  }
  grown_[n] = grown;
  return t;
}

void TransformingMaterial::evaluate(const double* u, const double* clock, std::size_t nodes, double* T,
                                    double* k, double* rate) {
  const auto& p = steel_.phases;
  if (mode_ == TransformMode::heating)
    move_heating(clock, nodes);
  else if (mode_ == TransformMode::cooling)
    move_cooling(clock, nodes);
  else
    move_tempering(clock, nodes);
  // without new martensite h(T) is made of parabolas
  const double half_width = std::max(p.curie_peak_degC - p.curie_from_degC, 0.0);
  const Bell shape{p.curie_from_degC, half_width,
                   half_width > 0 ? p.curie_heat_J_kg / (half_width * half_width) : 0.0};
  double* smooth = k; // overwritten by the conductivity below
  temperatures(
      nodes, u, mixture_.base.data(), mixture_.c0.data(), mixture_.c1.data(), mixture_.bell.data(),
      moved_.data(), moved_bainite_.data(),
      {base_austenite_, base_bainite_, p.pearlite.c0 - p.austenite.c0, p.pearlite.c1 - p.austenite.c1}, shape,
      smooth);
  const double* moved = moved_.data();
  const CurveOfAll curve{base_austenite_,
                         base_bainite_,
                         p.pearlite.c0 - p.austenite.c0,
                         p.pearlite.c1 - p.austenite.c1,
                         base_martensite_ - base_austenite_,
                         p.martensite.c0 - p.austenite.c0,
                         p.martensite.c1 - p.austenite.c1,
                         shape};
  const CurveOfNodes on_curve{u,
                              smooth,
                              mixture_.base.data(),
                              mixture_.c0.data(),
                              mixture_.c1.data(),
                              mixture_.bell.data(),
                              moved_.data(),
                              moved_bainite_.data(),
                              austenite_.data(),
                              martensite_.data(),
                              most_martensite_.data(),
                              ms_.data(),
                              alpha_.data(),
                              moves_below_.data()};
  follow_curve(nodes, curve, on_curve, T, found_.data(), grown_.data(), last_K_.data(),
               [&](std::size_t n) { return solve_with_martensite(n, u[n], T[n]); });
  conductivities(nodes, mixture_.k0.data(), mixture_.k1.data(), moved, grown_.data(),
                 {p.pearlite.k0 - p.austenite.k0, p.pearlite.k1 - p.austenite.k1},
                 {p.martensite.k0 - p.austenite.k0, p.martensite.k1 - p.austenite.k1}, T, k);
  switch (mode_) {
  case TransformMode::heating:
    forming_rates(nodes, austenite_rate_, ferrite_stays_, T, clock, rate, rate + nodes);
    break;
  case TransformMode::cooling:
    if (!rests_)
      find_rates(T, nodes, rate);
    break;
  case TransformMode::tempering:
    look_up(nodes, decay_rate_, T, rate);
    std::fill(rate + nodes, rate + 2 * nodes, 0.0);
    break;
  }
}

void TransformingMaterial::capacity(const double*, const double* clock, const double* T, std::size_t nodes,
                                    double* c, double* clock_heat_K) {
  const auto& p = steel_.phases;
  const double half_width = std::max(p.curie_peak_degC - p.curie_from_degC, 0.0);
  const Bell shape{p.curie_from_degC, half_width,
                   half_width > 0 ? p.curie_heat_J_kg / (half_width * half_width) : 0.0};
  const Turned turned{base_austenite_, base_bainite_, p.pearlite.c0 - p.austenite.c0,
                      p.pearlite.c1 - p.austenite.c1};
  capacities(nodes, mixture_.c0.data(), mixture_.c1.data(), mixture_.bell.data(), moved_.data(), turned,
             shape, T, c);
  if (mode_ == TransformMode::cooling)
    add_martensite_capacity(T, nodes, c);
  const WithClock of{T, c, austenite_.data(), moved_.data(), clock};
  switch (mode_) {
  case TransformMode::heating:
    heat_of_forming(nodes, turned, of, clock_heat_K, clock_heat_K + nodes);
    break;
  case TransformMode::cooling:
    if (!rests_)
      heat_of_turning(nodes, turned, of, pearlite_left_over_, bainite_left_over_, clock_heat_K,
                      clock_heat_K + nodes);
    break;
  case TransformMode::tempering:
    heat_of_decay(nodes, turned, of, clock_heat_K, clock_heat_K + nodes);
    break;
  }
}

void TransformingMaterial::find_rates(const double* T, std::size_t nodes, double* rate) const {
  decomposition_rates(nodes, {pearlite_rate_, bainite_rate_, pearlite_factor_.data(), bainite_factor_.data()},
                      T, austenite_.data(), moved_.data(), rate, rate + nodes);
}

bool TransformingMaterial::let_clocks_rest(const double* clock, const double* T, std::size_t nodes,
                                           double dt) {
  constexpr double most_turned = 1e-4, steps_ahead = 3;
  const bool before = rests_;
  rests_ = false;
  if (before || turned_ <= most_turned) {
    rates_.resize(2 * nodes);
    ahead_.resize(2 * nodes);
    if (!before)
      find_rates(T, nodes, rates_.data());
    look_ahead(2 * nodes, clock, rates_.data(), steps_ahead * dt, ahead_.data());
    decompose(nodes,
              {austenite_.data(), ahead_.data(), ahead_.data() + nodes, clock_before_.data(),
               clock_before_.data() + nodes, pearlite_left_.data(), bainite_left_.data()},
              pearlite_left_over_, bainite_left_over_, found_.data(), last_K_.data());
    rests_ = greatest(nodes, found_.data()) <= most_turned;
  }
  if (rests_ && !before) {
    std::fill_n(moved_.begin(), nodes, 0.0);
    std::fill_n(moved_bainite_.begin(), nodes, 0.0);
  }
  return rests_ != before;
}

void TransformingMaterial::move_clocks(double* clock, const double* T_mean, const double* T,
                                       std::size_t nodes, double dt) {
  add_to_clocks(2 * nodes, rates_.data(), dt / 6, clock);
  find_rates(T_mean, nodes, rates_.data());
  add_to_clocks(2 * nodes, rates_.data(), dt * 4 / 6, clock);
  find_rates(T, nodes, rates_.data());
  add_to_clocks(2 * nodes, rates_.data(), dt / 6, clock);
}

void TransformingMaterial::add_martensite_capacity(const double* T, std::size_t nodes, double* c) const {
  const auto& p = steel_.phases;
  const double step_base = base_martensite_ - base_austenite_;
  const double step_c0 = p.martensite.c0 - p.austenite.c0, step_c1 = p.martensite.c1 - p.austenite.c1;
  for (std::size_t n = 0; n < nodes; ++n) {
    const double t = T[n];
    if (!martensite_moves(n, t + (on_curve_[n] ? 0 : just_left_K)))
      continue;
    const Undercooling below = undercooling(ms_[n] - t);
    const double available = austenite_[n] - moved_[n] + martensite_[n],
                 left = math::exp(-alpha_[n] * below.value);
    const double step = step_base + t * (step_c0 + 0.5 * step_c1 * t);
    c[n] += grown_[n] * (step_c0 + step_c1 * t);
    if (grown_[n] >= 0 || grown_[n] > martensite_play(n))
      c[n] -= alpha_[n] * below.slope * available * left * step;
  }
}

void TransformingMaterial::commit(const double* clock, const double* T, const double* T_mean,
                                  std::size_t nodes, double dt) {
  switch (mode_) {
  case TransformMode::heating:
    for (std::size_t n = 0; n < nodes; ++n) {
      const double formed = -math::expm1(-std::max(clock[n], 0.0));
      if (formed <= 1e-9)
        continue;
      // new austenite brings the carbon it is born with; the rest dissolves on towards saturation
      const double before = formed_[n];
      if (formed > before)
        carbon_[n] = (before * carbon_[n] + (formed - before) * born_) / formed;
      const double target = saturation_.value(T_mean[n]);
      const conduction::UniformTable& rate = carbon_[n] < fine_carbon_[n] ? fine_rate_ : dissolution_rate_;
      if (target > carbon_[n])
        carbon_[n] += (target - carbon_[n]) * -math::expm1(-rate.value(T_mean[n]) * dt);
      formed_[n] = std::max(before, formed);
      take_formed(n);
      growth_[n] += growth_rate_.value(T_mean[n]) * formed_[n] * dt;
      growth_at_[n] = T_mean[n];
      if (growth_[n] > growth_kept_back * grain_power_[n])
        take_growth(n);
      take_mixture(n);
    }
    break;
  case TransformMode::cooling:
    turned_ = rests_ ? 0 : greatest(nodes, moved_.data());
    for (std::size_t n = 0; n < nodes; ++n) {
      // what evaluate() found at the end of the step
      const double grown = std::max(grown_[n], -martensite_[n]);
      const bool changed = moved_[n] != 0 || grown != 0;
      const double martensite = martensite_[n] + grown;
      if (grown > 0 && !on_curve_[n] && T[n] < T_mean[n]) {
        on_curve_[n] = 1;
        peak_martensite_[n] = martensite;
      }
      peak_martensite_[n] = std::max(peak_martensite_[n], martensite);
      most_martensite_[n] = std::max(most_martensite_[n], martensite);
      const double lost = peak_martensite_[n] - martensite;
      // one that may lose nothing more is off the curve too, though it has lost nothing in this step
      if (on_curve_[n] && (lost >= off_curve_K * alpha_[n] * austenite_[n] || grown <= martensite_play(n))) {
        on_curve_[n] = 0;
        take_martensite_point(n); // it was not kept while the node was on its curve
      } else {
        take_threshold(n);
      }
      fresh_[n] = grown > 0 ? grown / (martensite_[n] + grown) : 0;
      if (!changed)
        continue;
      austenite_[n] = std::max(0.0, austenite_[n] - moved_[n] - grown);
      martensite_[n] += grown;
      if (moved_[n] != 0) {
        const double to_pearlite = moved_[n] - moved_bainite_[n];
        add_to_mean(pearlite_hv_[n], pearlite_[n], pearlite_hardness_.value(T_mean[n]), to_pearlite);
        add_to_mean(bainite_hv_[n], bainite_[n] - tempered_austenite_[n], bainite_hardness_.value(T_mean[n]),
                    moved_bainite_[n]);
        bainite_[n] += moved_bainite_[n];
        pearlite_[n] += to_pearlite;
        if (T_mean[n] > decomposition_->ae1() - coarse_within_K)
          coarse_pearlite_[n] += to_pearlite;
        clock_before_[n] = clock[n];
        clock_before_[nodes + n] = clock[nodes + n];
        pearlite_left_[n] = std::max(pearlite_left_over_.value(clock[n]), 0.0);
        bainite_left_[n] = std::max(bainite_left_over_.value(clock[nodes + n]), 0.0);
      }
      moved_[n] = moved_bainite_[n] = grown_[n] = 0;
      take_martensite_point(n);
      take_mixture(n);
    }
    break;
  case TransformMode::tempering:
    take_decay(nodes, clock, austenite_.data(), bainite_.data(), tempered_austenite_.data(),
               clock_before_.data(), decay_.data(), moved_.data(), moved_bainite_.data());
    take_mixtures();
    break;
  }
}

} // namespace tq::steel
