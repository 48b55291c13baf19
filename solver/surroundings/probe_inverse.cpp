#include "surroundings/probe_inverse.hpp"

#include "surroundings/bayes.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>
#include <random>
#include <stdexcept>
#include <string>

namespace tq::surroundings {

namespace {

constexpr double table_step_K = 10, table_end_degC = 900;
constexpr std::size_t intervals = 24;
constexpr double surface_step_K = 2.5, fine_surface_step_K = 1.2;

// Scatter between tests of one operator with one oil (standard deviations): half of the 2 sigma of ASTM D6200
// as MacKenzie 2017 (Mater. Perform. Charact.) reports them, 2.1 K/s, 12.7 K, 8.7 %, 0.4 s, 0.5 s, 1.3 s.
constexpr double repeat_max_rate_K_s = 1.05, repeat_max_rate_degC = 6.35, repeat_rate_300 = 0.0435,
                 repeat_to_600_s = 0.2, repeat_to_400_s = 0.25, repeat_to_200_s = 0.65;

// The ball falls through the oil and is plated, so it cools faster than the still curve says. Over the curves
// of fast, medium and slow oils this model gives 12.4, 20.3, 24.2 s where the classes are 7-10, 11-14, 15-20
// s (from memory): 0.69, 0.62, 0.72 of it.
const double ball_ln_factor = math::log(0.68);
constexpr double ball_ln_spread = 0.15;

constexpr std::size_t most_points = 40'000'000; // of one search, times computed in all (numerical limit)

constexpr double start_spread_K = 1.0; // between the start asked for and the true one

double uniform_sd(double half_width) { return half_width / std::sqrt(3.0); }

// One model evaluation: unknowns to curve to trace.
class Forward {
 public:
  using Curve = std::function<void(const double* z, std::vector<double>& log_h)>;
  Forward(Curve curve, const DoubtedProbe& probe, std::size_t cells = intervals,
          double step_K = surface_step_K)
      : curve_(std::move(curve)), probe_(probe), solver_(probe.probe, cells, step_K) {}

  // Doubts from their unknowns: lag, conductivity, specific heat.
  ProbeDoubt doubt(double z_lag, double z_k, double z_c) const {
    ProbeDoubt d;
    d.sensor_lag_s = std::max(0.0, probe_.probe.sensor_lag_s + probe_.sensor_lag_spread_s * z_lag);
    d.conductivity_factor = math::exp(probe_.conductivity_spread * z_k);
    d.specific_heat_factor = math::exp(probe_.specific_heat_spread * z_c);
    return d;
  }
  const ProbeTrace& run(const double* z, double bath_degC, const ProbeEnd& end, const ProbeDoubt& doubt) {
    curve_(z, log_h_);
    for (const double y : log_h_)
      if (!(y > 0 && y < 13)) { // 1 to 440 000 W/m2K
        trace_.time_s.clear();
        return trace_;
      }
    solver_.run(BoilingCurves::table(log_h_), bath_degC, end, doubt, trace_);
    points_ += trace_.size();
    if (points_ > most_points)
      throw std::invalid_argument(
          "the search does not come to an end; leave the figures out that are in doubt");
    return trace_;
  }

 private:
  Curve curve_;
  const DoubtedProbe& probe_;
  ProbeSolver solver_;
  std::vector<double> log_h_;
  ProbeTrace trace_;
  std::size_t points_ = 0;
};

// Points from which the search starts: the best of the family's middle and of draws from the prior.
std::vector<Eigen::VectorXd> starts(const Residuals& residuals, Eigen::Index size, std::size_t draws,
                                    std::size_t best) {
  std::mt19937_64 bits(20);
  const auto uniform = [&] { return (static_cast<double>(bits() >> 11) + 0.5) * 0x1p-53; };
  std::vector<std::pair<double, Eigen::VectorXd>> found;
  Eigen::VectorXd r;
  for (std::size_t n = 0; n < draws; ++n) {
    Eigen::VectorXd z = Eigen::VectorXd::Zero(size);
    if (n > 0)
      for (Eigen::Index i = 0; i < static_cast<Eigen::Index>(BoilingCurves::stage_coordinates); ++i)
        z[i] = 3.0 * (uniform() + uniform() - 1.0);
    if (residuals(z, r))
      found.emplace_back(z.squaredNorm() + r.squaredNorm(), z);
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Eigen::VectorXd> out;
  for (std::size_t n = 0; n < std::min(best, found.size()); ++n)
    out.push_back(found[n].second);
  return out;
}

MostProbable search(const Residuals& residuals, const std::vector<Eigen::VectorXd>& from) {
  MostProbable best;
  best.cost = std::numeric_limits<double>::infinity();
  for (const auto& z : from) {
    MostProbable found = most_probable(residuals, z);
    if (found.cost < best.cost)
      best = std::move(found);
  }
  if (!std::isfinite(best.cost))
    throw std::invalid_argument("no boiling curve comes near these readings");
  return best;
}

std::vector<double> on_table_grid(const BoilingCurves& curves, const std::vector<double>& log_h,
                                  const std::vector<double>& at_degC) {
  const records::Table table{curves.grid(), log_h, records::Interpolation::linear};
  std::vector<double> out;
  out.reserve(at_degC.size());
  for (const double T : at_degC)
    out.push_back(table(T));
  return out;
}

std::vector<double> table_grid(double bath_degC) {
  std::vector<double> out{bath_degC};
  for (double T = table_step_K * std::floor(bath_degC / table_step_K + 1.5); T <= table_end_degC + 1e-9;
       T += table_step_K)
    out.push_back(T);
  return out;
}

// Fills table, band and sample of `out` from the middle curve and the sample of unknowns.
void fill(RecoveredHtc& out, const BoilingCurves& family, const Forward::Curve& curve,
          const std::vector<double>& middle_log_h, const Sample& sample) {
  out.surface_degC = table_grid(family.bath_degC());
  const std::size_t points = out.surface_degC.size();
  std::vector<double> log_h;
  for (const auto& z : sample.z) {
    curve(z.data(), log_h);
    out.sample.push_back(on_table_grid(family, log_h, out.surface_degC));
  }
  const auto middle = on_table_grid(family, middle_log_h, out.surface_degC);
  std::vector<double> column(out.sample.size());
  for (std::size_t i = 0; i < points; ++i) {
    for (std::size_t n = 0; n < column.size(); ++n)
      column[n] = out.sample[n][i];
    std::sort(column.begin(), column.end());
    const auto quantile = [&](double share) {
      const double at = share * static_cast<double>(column.size() - 1);
      const auto below = static_cast<std::size_t>(at);
      const std::size_t above = std::min(below + 1, column.size() - 1);
      return column[below] + (at - static_cast<double>(below)) * (column[above] - column[below]);
    };
    out.htc_W_m2K.push_back(math::exp(middle[i]));
    out.low_W_m2K.push_back(math::exp(std::min(quantile(0.05), middle[i])));
    out.high_W_m2K.push_back(math::exp(std::max(quantile(0.95), middle[i])));
  }
  for (auto& values : out.sample)
    for (double& y : values)
      y = math::exp(y);
  out.acceptance = sample.acceptance;
}

} // namespace

DoubtedProbe make_doubted_probe(const records::ProbeRecord& record, const records::ProbeBody& body) {
  return {make_probe(record, body), record.sensor_lag_spread_s, record.conductivity_spread,
          record.specific_heat_spread};
}

TraceReadings thinned(const TraceReadings& readings, std::size_t most) {
  const std::size_t block = (readings.time_s.size() + most - 1) / most;
  if (block < 2)
    return readings;
  TraceReadings out = readings;
  out.time_s.clear();
  out.sensor_degC.clear();
  for (std::size_t n = 0; n + block <= readings.time_s.size(); n += block) {
    double t = 0, T = 0;
    for (std::size_t k = n; k < n + block; ++k) {
      t += readings.time_s[k] / static_cast<double>(block);
      T += readings.sensor_degC[k] / static_cast<double>(block);
    }
    out.time_s.push_back(t);
    out.sensor_degC.push_back(T);
  }
  return out;
}

double noise_of(const std::vector<double>& readings) {
  if (readings.size() < 8)
    return 0;
  // Third differences of independent readings have 1 + 9 + 9 + 1 = 20 times their variance; the median of
  // their sizes is 0.6745 of the standard deviation and does not mind the few places where the curve bends.
  std::vector<double> size;
  for (std::size_t i = 0; i + 3 < readings.size(); ++i)
    size.push_back(std::abs(readings[i + 3] - 3 * readings[i + 2] + 3 * readings[i + 1] - readings[i]));
  const auto middle = size.begin() + static_cast<std::ptrdiff_t>(size.size() / 2);
  std::nth_element(size.begin(), middle, size.end());
  return *middle / (0.6745 * std::sqrt(20.0));
}

namespace {

// One sheet of a cooling-curve test, and the search for the curves that have its figures.
class SheetSearch {
 public:
  SheetSearch(const DoubtedProbe& probe, const std::optional<DoubtedProbe>& ball, double bath_degC,
              const SheetReadings& readings)
      : probe_(probe), ball_(ball), bath_degC_(bath_degC), readings_(readings), curves_(bath_degC),
        far_curves_(bath_degC, further * curves_.departure()),
        curve_([this](const double* z, std::vector<double>& log_h) { curves_.log_htc(z, log_h); }),
        first_(static_cast<Eigen::Index>(curves_.size())), forward_(curve_, probe, 16),
        forward_tabled_([this](const double* z, std::vector<double>& log_h) { tabled(z, log_h); }, probe,
                        intervals, fine_surface_step_K) {
    if (readings.ball_s.given()) {
      if (!ball)
        throw std::invalid_argument("the seconds of a ball are given, but no ball");
      forward_ball_.emplace(curve_, *ball);
    }
    if (!(readings.tests >= 1))
      throw std::invalid_argument("figures come from one test at least");
    take_terms();
    if (terms_.empty() && !forward_ball_)
      throw std::invalid_argument("no figure is given");
    if (readings.to_200_s.given())
      end_.sensor_degC = 199;
  }
  SheetSearch(const SheetSearch&) = delete;
  SheetSearch& operator=(const SheetSearch&) = delete;

  RecoveredHtc recover(const RecoverySettings& settings) {
    const auto size = static_cast<Eigen::Index>(curves_.size()) + 4; // lag, conductivity, specific heat, ball
    const Residuals loose = residuals_with(1);
    const MostProbable middle = search(loose, starts(loose, size, 80, 2));
    const Sample sample = sample_posterior(loose, middle, settings.steps, settings.keep, settings.seed);
    const MostProbable exact = closest(middle, sample);
    refuse_if_missed(exact);
    return result(exact, sample);
  }

 private:
  // Where no curve of the family has all the figures, it may leave the family further.
  static constexpr double further = 2.5;
  struct Term {
    Printed given;
    double SheetFigures::*figure;
    double repeat_sd;
    const char* name;
    const char* unit;
  };

  void tabled(const double* z, std::vector<double>& log_h) const;
  void take_terms();
  Residuals residuals_with(double slack);
  void refuse_if_missed(const MostProbable& exact) const;
  MostProbable close_in(Eigen::VectorXd z);
  MostProbable closest(const MostProbable& middle, const Sample& sample);
  RecoveredHtc result(const MostProbable& exact, const Sample& sample) const;

  const DoubtedProbe& probe_;
  const std::optional<DoubtedProbe>& ball_;
  double bath_degC_;
  const SheetReadings& readings_;
  BoilingCurves curves_, far_curves_;
  const BoilingCurves* exact_curves_ = &curves_;
  Forward::Curve curve_;
  Eigen::Index first_; // of the doubts behind the coordinates of the curve
  // The scatter hides the errors of a coarse grid; the figures as printed need a fine and smooth answer.
  Forward forward_, forward_tabled_;
  std::optional<Forward> forward_ball_;
  std::vector<Term> terms_;
  ProbeEnd end_{600, 250};
};

// The curve as the record will hold it: straight in ln h between the points of the table.
void SheetSearch::tabled(const double* z, std::vector<double>& log_h) const {
  exact_curves_->log_htc(z, log_h);
  const std::vector<double> at = table_grid(bath_degC_);
  const records::Table table{at, on_table_grid(curves_, log_h, at), records::Interpolation::linear};
  for (std::size_t n = 0; n < log_h.size(); ++n)
    log_h[n] = table(curves_.grid()[n]);
}

void SheetSearch::take_terms() {
  const auto& g = readings_;
  for (const Term& term :
       {Term{g.max_rate_K_s, &SheetFigures::max_rate_K_s, repeat_max_rate_K_s, "a largest cooling rate of",
             "K/s"},
        Term{g.max_rate_degC, &SheetFigures::max_rate_degC, repeat_max_rate_degC, "it at", "degC"},
        Term{g.rate_300_K_s, &SheetFigures::rate_300_K_s, repeat_rate_300 * g.rate_300_K_s.value,
             "a cooling rate at 300 degC of", "K/s"},
        Term{g.to_600_s, &SheetFigures::to_600_s, repeat_to_600_s, "600 degC after", "s"},
        Term{g.to_400_s, &SheetFigures::to_400_s, repeat_to_400_s, "400 degC after", "s"},
        Term{g.to_200_s, &SheetFigures::to_200_s, repeat_to_200_s, "200 degC after", "s"}})
    if (term.given.given()) {
      terms_.push_back(term);
      terms_.back().repeat_sd /= std::sqrt(readings_.tests);
    }
}

// `slack` 1: with the scatter between tests and the doubts about the probe; less: so much of the scatter,
// the record's own probe, and the curve as it is tabled; 0: the figures as printed.
Residuals SheetSearch::residuals_with(double slack) {
  const bool exact = slack < 1;
  return [this, exact, slack](const Eigen::VectorXd& z, Eigen::VectorXd& r) {
    r.resize(static_cast<Eigen::Index>(terms_.size()) + (forward_ball_ ? 1 : 0));
    if (!terms_.empty()) {
      const ProbeTrace& trace = exact ? forward_tabled_.run(z.data(), bath_degC_, end_, {})
                                      : forward_.run(z.data(), bath_degC_, end_,
                                                     forward_.doubt(z[first_], z[first_ + 1], z[first_ + 2]));
      if (trace.size() < 4)
        return false;
      const SheetFigures figures = sheet_figures(trace);
      for (std::size_t n = 0; n < terms_.size(); ++n) {
        const double rounding = uniform_sd(terms_[n].given.half_width);
        const double scatter = math::hypot(rounding, terms_[n].repeat_sd);
        const double sd = std::max({slack * scatter, 0.4 * terms_[n].given.half_width, 1e-4});
        const double figure = figures.*terms_[n].figure;
        if (!std::isfinite(figure))
          return false;
        r[static_cast<Eigen::Index>(n)] = (figure - terms_[n].given.value) / sd;
      }
    }
    if (forward_ball_) {
      const ProbeTrace& trace = forward_ball_->run(z.data(), readings_.ball_bath_degC, {600, 353}, {});
      const double seconds = trace.size() < 4 ? 0 : time_to(trace, 354);
      if (!(seconds > 0))
        return false;
      const double rounding = uniform_sd(readings_.ball_s.half_width) / readings_.ball_s.value;
      r[static_cast<Eigen::Index>(terms_.size())] =
          (math::log(seconds / readings_.ball_s.value) + ball_ln_factor + ball_ln_spread * z[first_ + 3]) /
          std::max(math::hypot(rounding, 0.03) * slack,
                   0.4 * readings_.ball_s.half_width / readings_.ball_s.value);
    }
    return true;
  };
}

// A curve that has other figures than the sheet is no curve of this oil. What one operator's tests differ
// by (2 sigma of ASTM D6200) and the rounding are allowed, of the ball's seconds a tenth.
void SheetSearch::refuse_if_missed(const MostProbable& exact) const {
  if (!std::isfinite(exact.cost))
    throw std::invalid_argument("no boiling curve comes near these figures");
  const auto refuse = [](const char* name, double given, double found, const char* unit) {
    char text[200];
    std::snprintf(
        text, sizeof text,
        "no boiling curve has these figures together: the nearest has %s %.3g %s instead of %.3g %s", name,
        found, unit, given, unit);
    throw std::invalid_argument(text);
  };
  for (std::size_t n = 0; n < terms_.size(); ++n) {
    const Term& term = terms_[n];
    const double sd = std::max(0.4 * term.given.half_width, 1e-4);
    const double miss = sd * exact.residuals[static_cast<Eigen::Index>(n)];
    if (std::abs(miss) > term.given.half_width + 2 * term.repeat_sd * std::sqrt(readings_.tests))
      refuse(term.name, term.given.value, term.given.value + miss, term.unit);
  }
  if (forward_ball_) {
    const double sd = 0.4 * readings_.ball_s.half_width / readings_.ball_s.value;
    const double miss = sd * exact.residuals[static_cast<Eigen::Index>(terms_.size())]; // of the logarithm
    if (std::abs(miss) > readings_.ball_s.half_width / readings_.ball_s.value + 0.1)
      refuse("a ball of", readings_.ball_s.value, readings_.ball_s.value * math::exp(miss), "s");
  }
}

// To the figures as printed step by step: from afar the search sticks.
MostProbable SheetSearch::close_in(Eigen::VectorXd z) {
  for (const double slack : {0.5, 0.2, 0.07})
    z = most_probable(residuals_with(slack), z, 12).z;
  return most_probable(residuals_with(0), z);
}

// The curve nearest to the figures as printed; points of the sample are other starts.
MostProbable SheetSearch::closest(const MostProbable& middle, const Sample& sample) {
  const auto off = [](const MostProbable& at) {
    return std::isfinite(at.cost) ? at.residuals.cwiseAbs().maxCoeff() : at.cost;
  };
  constexpr double enough = 1.5; // 0.6 of a half width
  MostProbable exact = close_in(middle.z);
  constexpr std::size_t more_starts = 16, far_starts = 8;
  for (std::size_t n = 0; n < more_starts && off(exact) > enough; ++n) {
    MostProbable other = close_in(sample.z[(2 * n + 1) * sample.z.size() / (2 * more_starts)]);
    if (off(other) < off(exact))
      exact = std::move(other);
  }
  if (off(exact) > enough) {
    exact_curves_ = &far_curves_;
    const auto same_curve = [this](Eigen::VectorXd z) {
      constexpr auto stages = static_cast<Eigen::Index>(BoilingCurves::stage_coordinates);
      z.segment(stages, first_ - stages) /= further;
      return z;
    };
    MostProbable far = close_in(same_curve(exact.z));
    for (std::size_t n = 0; n < far_starts && off(far) > enough; ++n) {
      MostProbable other = close_in(same_curve(sample.z[(2 * n + 1) * sample.z.size() / (2 * far_starts)]));
      if (off(other) < off(far))
        far = std::move(other);
    }
    if (off(far) < off(exact))
      exact = std::move(far);
    else
      exact_curves_ = &curves_;
  }
  return exact;
}

RecoveredHtc SheetSearch::result(const MostProbable& exact, const Sample& sample) const {
  RecoveredHtc out;
  out.bath_degC = bath_degC_;
  out.departure = exact_curves_->departure();
  out.stages = exact_curves_->stages(exact.z.data());
  std::vector<double> log_h;
  exact_curves_->log_htc(exact.z.data(), log_h);
  fill(out, curves_, curve_, log_h, sample);
  out.sensor_lag_s = probe_.probe.sensor_lag_s;

  ProbeSolver solver(probe_.probe, intervals, fine_surface_step_K);
  ProbeTrace trace;
  solver.run(htc_table(out.table(), 0, 1000, 2), bath_degC_, {600, 199}, {}, trace);
  out.figures = sheet_figures(trace);
  if (forward_ball_) {
    ProbeSolver ball_solver(ball_->probe, intervals, surface_step_K);
    ball_solver.run(htc_table(out.table(), 0, 1000, 2), readings_.ball_bath_degC, {600, 353}, {}, trace);
    out.ball_s = time_to(trace, 354) * math::exp(ball_ln_factor + ball_ln_spread * exact.z[first_ + 3]);
  }
  return out;
}

// Computed less measured readings over the noise, for unknowns of the curve and behind them of the doubts.
class TraceProblem {
 public:
  TraceProblem(const TraceReadings& readings, double bath_degC, double noise)
      : noise_K(noise), readings_(readings), bath_degC_(bath_degC), shifted_(readings.time_s.size()) {}

  double noise_K;

  // `z_k`, `z_c`: conductivity and specific heat off by so many standard deviations. They are not searched
  // for: the curve would bend them to mend small errors of the model.
  Residuals operator()(Forward& forward, std::size_t curve_size, double z_k = 0, double z_c = 0) {
    const auto first = static_cast<Eigen::Index>(curve_size);
    return [this, &forward, first, z_k, z_c](const Eigen::VectorXd& z, Eigen::VectorXd& r) {
      ProbeDoubt doubt = forward.doubt(z[first], z_k, z_c);
      doubt.start_shift_K = start_spread_K * z[first + 2];
      const double shift_s = readings_.time_zero_spread_s * z[first + 1];
      const double last_s = readings_.time_s.back();
      const ProbeTrace& trace = forward.run(z.data(), bath_degC_, {last_s + 1.0 + std::abs(shift_s)}, doubt);
      if (trace.size() < 4)
        return false;
      for (std::size_t n = 0; n < shifted_.size(); ++n)
        shifted_[n] = readings_.time_s[n] - shift_s;
      trace.sensor_at(shifted_, computed_);
      r.resize(static_cast<Eigen::Index>(computed_.size()));
      for (std::size_t n = 0; n < computed_.size(); ++n)
        r[static_cast<Eigen::Index>(n)] = (computed_[n] - readings_.sensor_degC[n]) / noise_K;
      return true;
    };
  }

 private:
  const TraceReadings& readings_;
  double bath_degC_;
  std::vector<double> shifted_, computed_;
};

} // namespace

RecoveredHtc recover_from_sheet(const DoubtedProbe& probe, const std::optional<DoubtedProbe>& ball,
                                double bath_degC, const SheetReadings& readings,
                                const RecoverySettings& settings) {
  return SheetSearch(probe, ball, bath_degC, readings).recover(settings);
}

RecoveredHtc recover_from_trace(const DoubtedProbe& probe, double bath_degC, const TraceReadings& given,
                                const RecoverySettings& settings) {
  if (given.time_s.size() < 20 || given.time_s.size() != given.sensor_degC.size())
    throw std::invalid_argument("at least 20 readings with their times are needed");
  const TraceReadings readings = thinned(given);
  const double noise_K = std::max(noise_of(readings.sensor_degC), readings.least_noise_K);

  TraceProblem problem(readings, bath_degC, noise_K);
  constexpr Eigen::Index doubts = 3; // lag, time zero, start

  // First the family with its stages, which finds the right place from anywhere ...
  RecoveredHtc out;
  out.bath_degC = bath_degC;
  out.noise_K = noise_K;
  const BoilingCurves family(bath_degC, 0.16);
  std::vector<double> log_h;
  Eigen::VectorXd doubt_z;
  {
    Forward forward([&](const double* z, std::vector<double>& y) { family.log_htc(z, y); }, probe);
    const auto size = static_cast<Eigen::Index>(family.size());
    const Residuals residuals = problem(forward, family.size());
    // Sharp readings make narrow valleys in which the search sticks on the way; blunted ones lead past them.
    constexpr double blunt = 5;
    problem.noise_K *= blunt;
    MostProbable found = search(residuals, starts(residuals, size + doubts, 80, 2));
    problem.noise_K /= blunt;
    found = most_probable(residuals, found.z);
    out.stages = family.stages(found.z.data());
    family.log_htc(found.z.data(), log_h);
    doubt_z = found.z.tail(doubts);
  }

  // ... then the modes, of which the measurement leaves a nearly Gaussian band.
  constexpr double departures[] = {0.08, 0.16, 0.32};
  MostProbable best;
  best.log_evidence = -std::numeric_limits<double>::infinity();
  std::optional<BoilingModes> chosen;
  for (const double departure : departures) {
    const BoilingModes modes(BoilingCurves(bath_degC, departure));
    Forward forward([&](const double* z, std::vector<double>& y) { modes.log_htc(z, y); }, probe);
    Eigen::VectorXd start(static_cast<Eigen::Index>(modes.size()) + doubts);
    start << modes.coefficients(log_h), doubt_z;
    MostProbable found = most_probable(problem(forward, modes.size()), start);
    if (found.log_evidence > best.log_evidence) {
      best = std::move(found);
      chosen = modes;
      out.departure = departure;
    }
  }
  if (!chosen)
    throw std::invalid_argument("no boiling curve comes near these readings");
  const Forward::Curve curve = [&](const double* z, std::vector<double>& y) { chosen->log_htc(z, y); };
  Forward forward(curve, probe);
  const Residuals residuals = problem(forward, chosen->size());
  out.misfit_K =
      problem.noise_K * std::sqrt(best.residuals.squaredNorm() / static_cast<double>(best.residuals.size()));
  Sample sample = sample_gaussian(best, settings.keep, settings.seed);
  // What the doubt about the probe's material adds: the answer again with each property off by one standard
  // deviation, laid on the sample in random amounts.
  NormalNumbers normal(settings.seed + 1);
  for (const bool heat : {false, true}) {
    if ((heat ? probe.specific_heat_spread : probe.conductivity_spread) <= 0)
      continue;
    const Eigen::VectorXd moved =
        most_probable(problem(forward, chosen->size(), heat ? 0 : 1, heat ? 1 : 0), best.z).z - best.z;
    for (auto& z : sample.z)
      z += normal() * moved;
  }
  curve(best.z.data(), log_h);
  fill(out, family, curve, log_h, sample);
  const auto first = static_cast<Eigen::Index>(chosen->size());
  const ProbeDoubt doubt = forward.doubt(best.z[first], 0, 0);
  out.sensor_lag_s = doubt.sensor_lag_s;
  ProbeSolver solver(probe.probe, intervals, surface_step_K);
  ProbeTrace trace;
  solver.run(htc_table(out.table(), 0, 1000, 2), bath_degC, {600, 199}, doubt, trace);
  out.figures = sheet_figures(trace);
  return out;
}

} // namespace tq::surroundings
