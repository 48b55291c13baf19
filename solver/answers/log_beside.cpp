#include "answers/log_beside.hpp"

#include "answers/coarse_case.hpp"
#include "answers/sampling.hpp"
#include "answers/uncertain_inputs.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::answers {
namespace {

using treatment::Case;
using treatment::Part;

constexpr int corners = 80; ///< of the curves

Part part_of_log(LogOf what) {
  return what == LogOf::packet ? Part::furnace : what == LogOf::quench ? Part::bath : Part::temper;
}

/// What of a run the log is of, and from when to when it may be compared.
struct Computed {
  const std::vector<double>& trace;
  double from_s, to_s;
};

/// `level_degC`: of a quench, the temperature at which its clock begins.
Computed computed(const treatment::Run& run, LogOf what, double level_degC) {
  const treatment::StepSpan& span = *treatment::span_of(run, part_of_log(what));
  const std::vector<double>& blade = run.zones[treatment::zone_thickest].temperature;
  if (what == LogOf::quench) {
    const treatment::StepSpan* way = treatment::span_of(run, Part::transfer);
    const double out_s = way == nullptr ? span.from_s : way->from_s,
                 falls_s = treatment::last_fall(run.time_s, blade, level_degC, out_s, span.to_s);
    return {blade, std::isfinite(falls_s) ? falls_s : out_s, span.to_s};
  }
  return {what == LogOf::packet ? blade : run.surroundings_degC, span.from_s, span.to_s};
}

/// The computed curve at the corners of `time_s`.
std::vector<double> curve_of(const Case& c, std::size_t station, LogOf what, double level_degC,
                             const std::vector<double>& time_s) {
  const treatment::Run run = treatment::run_station(c, station);
  const Computed of = computed(run, what, level_degC);
  // at the very end it stands in what comes next
  const auto end = std::lower_bound(run.time_s.begin(), run.time_s.end(), of.to_s);
  const double last_s = end == run.time_s.begin() ? of.from_s : std::max(of.from_s, *(end - 1));
  std::vector<double> out;
  for (const double t : time_s)
    out.push_back(treatment::trace_value(run.time_s, of.trace, std::min(of.from_s + t, last_s)));
  return out;
}

/// Temperature at which the clock of a quench begins, and the log's own time then.
std::pair<double, double> begin_of_quench(const records::LogRecord& log) {
  constexpr double usual_degC = 700, clear_K = 20;
  const double hottest = *std::max_element(log.temperature_degC.begin(), log.temperature_degC.end());
  const double level = std::min(usual_degC, hottest - clear_K);
  return {level, treatment::last_fall(log.time_s, log.temperature_degC, level, 0, log.time_s.back())};
}

} // namespace

std::vector<LogBeside> log_beside(const Case& c, std::size_t station, LogOf what, std::string name,
                                  const records::LogRecord& log, Executor& executor, int draws) {
  if (!c.has(part_of_log(what)))
    return {};
  const std::pair<double, double> clock =
      what == LogOf::quench ? begin_of_quench(log) : std::pair<double, double>(0.0, 0.0);
  const double from_degC = clock.first, begin = clock.second;
  if (!std::isfinite(begin))
    return {};
  Case coarse = coarse_case(c);
  coarse.output_times_s = {1e12}; // no fields, so no steps that land on them
  coarse.probes.clear();
  const treatment::Run stated = treatment::run_station(coarse, station);
  const Computed of_stated = computed(stated, what, from_degC);
  LogBeside out;
  out.name = std::move(name);
  out.since = what == LogOf::quench ? units::formatted("%.0f degC", from_degC) : "the beginning";
  const double length = std::min(log.time_s.back() - begin, of_stated.to_s - of_stated.from_s);
  for (int i = 0; i <= corners; ++i)
    out.time_s.push_back(length * i / corners);
  const std::vector<UncertainInput> inputs = uncertain_inputs(coarse);
  const auto n = static_cast<std::size_t>(draws);
  const std::size_t d = inputs.size();
  const std::vector<double> points = linked_points(coarse, inputs, sample_points(n, d, 1));
  std::vector<std::vector<double>> curves(n);
  executor.for_each_index(n, [&](std::size_t k) {
    std::vector<double> changes;
    for (std::size_t i = 0; i < d; ++i)
      changes.push_back(inputs[i].distribution.quantile(points[k * d + i]));
    try {
      curves[k] = curve_of(perturbed(coarse, inputs, changes.data()), station, what, from_degC, out.time_s);
    } catch (const treatment::SolverError&) {
      // one draw less
    }
  });
  for (std::size_t i = 0; i < out.time_s.size(); ++i) {
    std::vector<double> sorted;
    for (const auto& curve : curves)
      if (!curve.empty())
        sorted.push_back(curve[i]);
    if (sorted.empty())
      throw treatment::SolverError("the solver gave up at every draw of " + out.name);
    std::sort(sorted.begin(), sorted.end());
    out.low.push_back(quantile(sorted, 0.05));
    out.middle.push_back(quantile(sorted, 0.5));
    out.high.push_back(quantile(sorted, 0.95));
  }
  std::size_t inside = 0;
  for (std::size_t i = 0; i < log.time_s.size() && log.time_s[i] - begin <= length; ++i) {
    const double t = log.time_s[i] - begin, T = log.temperature_degC[i];
    if (t < 0)
      continue;
    out.read_time_s.push_back(t);
    out.read_degC.push_back(T);
    inside += T >= treatment::trace_value(out.time_s, out.low, t) &&
                      T <= treatment::trace_value(out.time_s, out.high, t)
                  ? 1
                  : 0;
  }
  out.inside =
      static_cast<double>(inside) / static_cast<double>(std::max<std::size_t>(1, out.read_time_s.size()));
  return {std::move(out)};
}

} // namespace tq::answers
