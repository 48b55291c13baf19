#include "work_precision.hpp"

#include "cvode_run.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <optional>
#include <string>

namespace tq::test {

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t n = values.size();
  return 0.5 * (values[n / 2] + values[(n - 1) / 2]);
}

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
/// Tolerances of a sweep are a factor of the eighth root of two apart. The error scatters from one to the
/// next, so a setting counts for a bound only when it and all those down to half its tolerance keep it.
constexpr int per_octave = 8;
double tolerance_factor(int k) { return std::pow(2.0, -static_cast<double>(k) / per_octave); }
constexpr int table_stride = 4;

struct Setting {
  int k = 0;                          ///< place in the sweep
  std::optional<CvodeSettings> cvode; ///< none: ours, at
  double tolerance_K = 0;             ///< this tolerance
  std::vector<double> seconds = {};
  double error_K = 0, kept_K = infinity; ///< kept: the worst of it and those down to half its tolerance
  long attempts = 0;
  bool timed = false; ///< again and again, not only once
};
/// Settings from loose to tight.
struct Family {
  std::string name;
  std::vector<Setting> settings = {};
};

std::string print(const char* format, double a, double b = 0) {
  char text[100];
  std::snprintf(text, sizeof text, format, a, b);
  return text;
}

Family our_family() {
  Family family{"ours"};
  for (int k = -4; k <= 40; ++k)
    family.settings.push_back({k, {}, tolerance_factor(k)});
  return family;
}

Family cvode_family(int order, double nonlinear, int from, int to) {
  Family family{print("CVODE, order %.0f, nonlinear %.2g", order, nonlinear)};
  for (int k = from; k <= to; ++k) {
    CvodeSettings s;
    s.relative *= tolerance_factor(k);
    s.most_order = order;
    s.nonlinear = nonlinear;
    family.settings.push_back({k, s});
  }
  return family;
}

void measure(const TaperedBar& bar, const PointsAtTimes& limit, Setting& s) {
  if (s.cvode) {
    const CvodeRun run = run_cvode(bar, *s.cvode);
    s.seconds.push_back(run.seconds);
    s.error_K = greatest_difference(run.points, limit);
    s.attempts = run.steps;
  } else {
    const OurRun run = run_ours(bar, s.tolerance_K);
    s.seconds.push_back(run.seconds);
    s.error_K = greatest_difference(run.points, limit);
    s.attempts = run.steps + run.rejected;
  }
}

void judge(Family& family) {
  auto& all = family.settings;
  for (std::size_t i = 0; i + per_octave < all.size(); ++i) {
    all[i].kept_K = 0;
    for (std::size_t k = i; k <= i + per_octave; ++k)
      all[i].kept_K = std::max(all[i].kept_K, all[k].error_K);
  }
}

/// Quickest setting of a family that keeps the bound; none: nullptr.
const Setting* quickest(const Family& family, double bound_K) {
  const Setting* best = nullptr;
  for (const Setting& s : family.settings)
    if (s.kept_K <= bound_K && (!best || median(s.seconds) < median(best->seconds)))
      best = &s;
  return best;
}

double seconds_of(const Setting* s) { return s ? median(s->seconds) : infinity; }

/// Time at which log time over log error, fitted to the settings within a factor of four, meets the bound.
double typical_seconds(const Family& family, double bound_K) {
  double n = 0, x = 0, y = 0, xx = 0, xy = 0;
  for (const Setting& s : family.settings) {
    const double error = std::log(s.error_K / bound_K), time = std::log(median(s.seconds));
    if (std::abs(error) > std::log(4.0))
      continue;
    n += 1;
    x += error;
    y += time;
    xx += error * error;
    xy += error * time;
  }
  return n >= 3 ? std::exp((y * xx - x * xy) / (n * xx - x * x)) : infinity;
}

/// CVODE's table is timed again and again up to so many nodes; beyond, where it cannot win, once will do.
constexpr std::size_t most_nodes_repeated = 2100;

/// Marks the settings worth timing well: those that could be the quickest for a bound and, where `table`,
/// those of the table.
void choose(Family& family, const std::vector<double>& bounds, bool table) {
  for (Setting& s : family.settings)
    s.timed = table && s.k % table_stride == 0;
  for (double bound : bounds) {
    const double best = seconds_of(quickest(family, bound));
    for (Setting& s : family.settings)
      s.timed = s.timed || (s.kept_K <= bound && median(s.seconds) <= 1.15 * best);
  }
}

std::string name_of(const Family& family, const Setting& s) {
  return family.name +
         (s.cvode ? print(", rtol %.2g", s.cvode->relative) : print(", %.3g K a step", s.tolerance_K));
}

std::string described(const Family& family, const Setting* s) {
  return s ? name_of(family, *s) + print(" (%.2f ms)", 1e3 * median(s->seconds)) : "none";
}

void print_table(const std::vector<Family>& families) {
  std::printf("| setting | ms | time error K | down to half K | steps |\n|---|---:|---:|---:|---:|\n");
  for (const Family& family : families)
    for (const Setting& s : family.settings)
      if (s.k % table_stride == 0)
        std::printf("| %s | %.2f | %.3f | %s | %ld |\n", name_of(family, s).c_str(), 1e3 * median(s.seconds),
                    s.error_K, std::isfinite(s.kept_K) ? print("%.3f", s.kept_K).c_str() : "", s.attempts);
}

/// The chosen settings of ours and of CVODE in turn.
void time_in_turn(const TaperedBar& bar, const PointsAtTimes& limit, std::vector<Family>& families,
                  int repeats) {
  std::vector<Setting*> ours, theirs;
  for (Family& family : families)
    for (Setting& s : family.settings)
      if (s.timed) {
        s.seconds.clear(); // the first run of a setting found the caches and the memory as they were
        (s.cvode ? theirs : ours).push_back(&s);
      }
  for (int r = 0; r < repeats; ++r)
    for (std::size_t i = 0; i < std::max(ours.size(), theirs.size()); ++i) {
      measure(bar, limit, *ours[i % ours.size()]);
      if (i < theirs.size())
        measure(bar, limit, *theirs[i]);
    }
}

/// Reference values on which four independent solvers agree (see tests/validation/tapered_bar_test.cpp),
/// points in the order of TaperedBar::points().
constexpr double reference[7][10] = {
    {722.258, 579.086, 359.698, 272.655, 231.889, 187.813, 149.486, 120.048, 90.95, 75.07},
    {720.213, 572.948, 358.174, 272.138, 231.549, 187.608, 149.347, 119.958, 90.905, 75.048},
    {771.462, 733.488, 557.293, 339.208, 279.97, 220.078, 173.824, 137.451, 100.409, 79.756},
    {788.716, 773.67, 738.036, 589.009, 412.877, 303.099, 235.937, 186.46, 130.017, 94.979},
    {781.72, 765.918, 728.661, 559.55, 401.664, 300.042, 234.384, 185.607, 129.586, 94.775},
    {779.903, 762.28, 725.257, 568.014, 429.078, 322.717, 256.877, 205.739, 145.647, 103.741},
    {765.732, 745.88, 705.544, 513.166, 405.455, 314.65, 252.872, 203.509, 144.433, 103.145}};

double error_to_reference(const PointsAtTimes& run) {
  double worst = 0;
  for (std::size_t t = 0; t < run.size(); ++t)
    for (std::size_t p = 0; p < 7; ++p)
      worst = std::max(worst, std::abs(run[t][p] - reference[p][t]));
  return worst;
}

} // namespace

std::vector<Ratio> compare(int along, int across, bool half, int repeats, Sweep sweep) {
  const TaperedBar bar(along, across, half);
  const PointsAtTimes limit = run_ours(bar, 2e-4).points;
  CvodeSettings tight;
  tight.relative = 1e-8;
  tight.most_order = 5;
  const double between = greatest_difference(limit, run_cvode(bar, tight).points);

  const int from = sweep == Sweep::fewest ? -4 : -16, to = sweep == Sweep::fewest ? 12 : 40;
  std::vector<Family> families{our_family(), cvode_family(3, 0.01, from, to), cvode_family(3, 0.1, from, to)};
  if (sweep == Sweep::all)
    for (const auto& [order, nonlinear] : {std::pair{2, 0.01}, {5, 0.01}, {5, 0.1}})
      families.push_back(cvode_family(order, nonlinear, from, to));
  const std::vector<double> bounds{0.5, 0.1};
  for (Family& family : families) {
    for (Setting& s : family.settings)
      measure(bar, limit, s);
    judge(family);
    choose(family, bounds, !family.settings.front().cvode || bar.nodes() <= most_nodes_repeated);
  }
  time_in_turn(bar, limit, families, repeats);

  std::printf(
      "\n### %d x %d intervals, %s section, %zu nodes\n\nMedian of %d (of CVODE beyond 2100 nodes only for "
      "what may be its quickest). Errors against ours at 0.0002 K "
      "a step, which is %.4f K from CVODE's at rtol 1e-8.\n\n",
      along, across, half ? "half" : "whole", bar.nodes(), repeats, between);
  print_table(families);
  std::printf("\n");
  std::vector<Ratio> ratios;
  for (double bound : bounds) {
    const Setting *ours = quickest(families[0], bound), *fair = quickest(families[1], bound), *best = fair;
    std::size_t of = 1;
    double typical = typical_seconds(families[1], bound);
    for (std::size_t f = 2; f < families.size(); ++f) {
      if (const Setting* s = quickest(families[f], bound); seconds_of(s) < seconds_of(best)) {
        best = s;
        of = f;
      }
      typical = std::min(typical, typical_seconds(families[f], bound));
    }
    const double our_seconds = seconds_of(ours);
    ratios.push_back({bound, seconds_of(best) / our_seconds, seconds_of(fair) / our_seconds,
                      typical / typical_seconds(families[0], bound)});
    std::printf("- At most %.1f K: %s; %s; **%.1f times**; %.1f times against order 3, nonlinear 0.01; %.1f "
                "times where this is the typical error.\n",
                bound, described(families[0], ours).c_str(), described(families[of], best).c_str(),
                ratios.back().best, ratios.back().fair, ratios.back().typical);
  }
  std::fflush(stdout);
  return ratios;
}

Quench quickest_quench(int repeats) {
  struct Candidate {
    int along, across;
    double tolerance_K, error_K;
    std::vector<double> seconds;
  };
  std::vector<Candidate> candidates;
  for (int across : {6, 8, 12, 16})
    for (int along = 80; along <= 140; along += 10) {
      const TaperedBar bar(along, across, true);
      if (bar.nodes() > 2060)
        continue;
      std::vector<double> error;
      for (int k = 0; k <= 4 * per_octave; ++k) {
        error.push_back(error_to_reference(run_ours(bar, tolerance_factor(k)).points));
        if (k < per_octave)
          continue;
        const double kept = *std::max_element(error.end() - per_octave - 1, error.end());
        if (kept <= 0.5) {
          candidates.push_back({along, across, tolerance_factor(k - per_octave), kept, {}});
          break; // tighter ones take longer
        }
      }
    }
  const Candidate* best = nullptr;
  for (int r = 0; r < repeats; ++r)
    for (Candidate& c : candidates)
      c.seconds.push_back(run_ours(TaperedBar(c.along, c.across, true), c.tolerance_K).seconds);
  for (const Candidate& c : candidates)
    if (!best || median(c.seconds) < median(best->seconds))
      best = &c;
  if (!best)
    return {infinity, infinity};
  std::printf("Quickest of %zu grids that keep the 70 reference values within 0.5 K, space and time error "
              "together: %d x %d intervals, half section, %zu nodes, %.3g K a step: %.2f ms, error %.3f K "
              "(the worst down to half this tolerance).\n",
              candidates.size(), best->along, best->across,
              TaperedBar(best->along, best->across, true).nodes(), best->tolerance_K,
              1e3 * median(best->seconds), best->error_K);
  return {1e3 * median(best->seconds), best->error_K};
}

void scaling(int repeats) {
  constexpr double tolerance_K = 0.3;
  struct Size {
    int along, across;
    std::vector<double> seconds = {};
    long attempts = 0;
  };
  std::vector<Size> sizes{{60, 8}, {120, 16}, {240, 32}, {480, 64}, {960, 128}};
  for (int r = 0; r < repeats; ++r)
    for (Size& size : sizes) {
      const OurRun run = run_ours(TaperedBar(size.along, size.across, false), tolerance_K);
      size.seconds.push_back(run.seconds);
      size.attempts = run.steps + run.rejected;
    }
  std::printf("\n| intervals | nodes | ms | steps | ns a node and step |\n|---|---:|---:|---:|---:|\n");
  std::vector<double> x, y;
  long fewest = std::numeric_limits<long>::max(), most = 0;
  for (const Size& size : sizes) {
    const double s = median(size.seconds), nodes = (size.along + 1.0) * (size.across + 1.0);
    std::printf("| %d x %d | %.0f | %.2f | %ld | %.1f |\n", size.along, size.across, nodes, 1e3 * s,
                size.attempts, 1e9 * s / nodes / static_cast<double>(size.attempts));
    if (size.along <= 480) {
      x.push_back(std::log(nodes));
      y.push_back(std::log(s));
      fewest = std::min(fewest, size.attempts);
      most = std::max(most, size.attempts);
    }
  }
  double mean_x = 0, mean_y = 0, xy = 0, xx = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    mean_x += x[i] / static_cast<double>(x.size());
    mean_y += y[i] / static_cast<double>(x.size());
  }
  for (std::size_t i = 0; i < x.size(); ++i) {
    xy += (x[i] - mean_x) * (y[i] - mean_y);
    xx += (x[i] - mean_x) * (x[i] - mean_x);
  }
  std::printf(
      "\nFrom 60 x 8 to 480 x 64, %.1f K a step: time grows with the nodes to the power %.2f; the most "
      "steps are %.0f %% more than the fewest.\n",
      tolerance_K, xy / xx, 100.0 * static_cast<double>(most - fewest) / static_cast<double>(fewest));
  std::fflush(stdout);
}

} // namespace tq::test
