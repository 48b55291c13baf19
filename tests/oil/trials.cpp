#include "trials.hpp"

#include "records/read_probe.hpp"
#include "trial_oils.hpp"

#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace tq::test {
namespace {

using namespace surroundings;

constexpr double bath_degC = 60;

struct Truth {
  TrialOil oil;
  ProbeTrace trace;
};

Truth quench(const DoubtedProbe& probe, std::size_t number, const TrialSetting& how, Random& random) {
  Truth truth{draw_oil(random, number), {}};
  ProbeDoubt departs;
  departs.sensor_lag_s = how.lag_s;
  if (how.probe_departs) {
    departs.sensor_lag_s += probe.sensor_lag_spread_s * random.normal();
    departs.conductivity_factor = std::exp(probe.conductivity_spread * random.normal());
    departs.specific_heat_factor = std::exp(probe.specific_heat_spread * random.normal());
  }
  // Finer in space and time than the recovery's own model.
  ProbeSolver solver(probe.probe, 40, 1.0);
  solver.run(htc_table(truth.oil.htc_W_m2K, 0, 1000, 1.0), bath_degC, {300, 150}, departs, truth.trace);
  return truth;
}

TrialOutcome judge(const Truth& truth, const RecoveredHtc& found) {
  TrialOutcome out;
  out.oil = truth.oil.name;
  const records::Table low{found.surface_degC, found.low_W_m2K, records::Interpolation::log};
  const records::Table high{found.surface_degC, found.high_W_m2K, records::Interpolation::log};
  const records::Table middle = found.table();
  int points = 0;
  for (double T = 300; T <= 700; T += 20, ++points) {
    const double h = truth.oil.htc_W_m2K(T), error = std::log(middle(T) / h);
    out.rms_error += error * error;
    out.share_inside += low(T) <= h && h <= high(T) ? 1 : 0;
    out.mean_half_width += 0.5 * std::log(high(T) / low(T));
  }
  out.rms_error = std::sqrt(out.rms_error / points);
  out.share_inside /= points;
  out.mean_half_width /= points;
  return out;
}

Printed printed(double value, double step) { return {step * std::round(value / step), 0.5 * step}; }

} // namespace

DoubtedProbe shipped_probe(const std::string& key, const records::ProbeBody& body) {
  const std::string path = std::string(TQ_SOURCE_DIR) + "/materials/probes/" + key + ".toml";
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  const auto record = records::read_probe(text.str(), path);
  return make_doubted_probe(record, body.thickness_m > 0 ? body : *record.body);
}

DoubtedProbe standard_probe() { return shipped_probe("alloy_600", {}); }

TrialOutcome trace_trial(DoubtedProbe probe, std::size_t number, const TrialSetting& how) {
  Random random(1000 + number);
  const Truth truth = quench(probe, number, how, random);
  TraceReadings readings;
  for (double t = 0; t < truth.trace.time_s.back(); t += 1 / how.rate_Hz) {
    readings.time_s.push_back(t);
    readings.sensor_degC.push_back(truth.trace.sensor_at(t) + how.noise_K * random.normal());
  }
  if (!how.probe_departs)
    probe.conductivity_spread = probe.specific_heat_spread = 0;
  return judge(truth, recover_from_trace(probe, bath_degC, readings));
}

TrialOutcome sheet_trial(DoubtedProbe probe, std::size_t number, const TrialSetting& how) {
  Random random(1000 + number);
  const Truth truth = quench(probe, number, how, random);
  const SheetFigures f = sheet_figures(truth.trace);
  // The scatter between tests of one operator (ASTM D6200, MacKenzie 2017: half of its 2 sigma), in their
  // mean.
  const auto scatter = [&](double sd) {
    return how.probe_departs ? sd / std::sqrt(how.tests) * random.normal() : 0.0;
  };
  SheetReadings given;
  given.tests = how.tests;
  given.max_rate_K_s = printed(f.max_rate_K_s + scatter(1.05), 0.1);
  given.max_rate_degC = printed(f.max_rate_degC + scatter(6.35), 1);
  given.rate_300_K_s = printed(f.rate_300_K_s * (1 + scatter(0.0435)), 0.1);
  given.to_600_s = printed(f.to_600_s + scatter(0.2), 0.1);
  given.to_400_s = printed(f.to_400_s + scatter(0.25), 0.1);
  given.to_200_s = printed(f.to_200_s + scatter(0.65), 0.1);
  if (!how.probe_departs)
    probe.conductivity_spread = probe.specific_heat_spread = 0;
  const RecoveredHtc found = recover_from_sheet(probe, {}, bath_degC, given);
  TrialOutcome out = judge(truth, found);
  const auto back = [](const Printed& p, double figure) {
    return std::abs(figure - p.value) <= p.half_width;
  };
  out.figures_back =
      back(given.max_rate_K_s, found.figures.max_rate_K_s) &&
      back(given.max_rate_degC, found.figures.max_rate_degC) &&
      back(given.rate_300_K_s, found.figures.rate_300_K_s) && back(given.to_600_s, found.figures.to_600_s) &&
      back(given.to_400_s, found.figures.to_400_s) && back(given.to_200_s, found.figures.to_200_s);
  return out;
}

} // namespace tq::test
