// A shop of which the truth is known, for tests of learning: blades are made in it by the solver on the grid
// of the case, and read with the errors that instruments have.
#pragma once

#include "answers/margins.hpp"
#include "answers/sampling.hpp"
#include "answers/station_answer.hpp"
#include "answers/uncertain_inputs.hpp"
#include "shop/learn.hpp"
#include "shop/piece.hpp"
#include "shop/readings.hpp"
#include "shop/stays.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"
#include "units/math.hpp"

#include <cmath>
#include <map>
#include <random>
#include <string>
#include <vector>

namespace tq::test {

class InventedShop {
 public:
  explicit InventedShop(std::uint64_t seed) : random_(seed) {}

  /// A standard normal number, the same on every machine.
  double normal() {
    const double u = (static_cast<double>(random_() >> 11) + 0.5) * 0x1p-53;
    return answers::normal_quantile(u);
  }
  /// Fixes the score that stays of an input, else it is drawn when it is first asked for.
  void set(const std::string& input, double score) { fixed_[input] = score; }

  /// What a blade of this case truly is: the changes of its inputs.
  std::vector<double> truth(const std::vector<answers::UncertainInput>& inputs, const treatment::Case& c) {
    std::vector<double> changes;
    for (const answers::UncertainInput& input : inputs) {
      const double stays = shop::share_that_stays(input.key);
      const double z = std::sqrt(stays) * score(input, c) + std::sqrt(1 - stays) * own();
      changes.push_back(input.distribution.at_score(z));
    }
    return changes;
  }

  struct Made {
    treatment::Case real;
    treatment::Run run;
    answers::StationAnswer answer;
    double fresh_HRC = 0; ///< by how much it is harder as quenched than the formula says
  };
  Made make(const treatment::Case& stated) {
    const std::vector<answers::UncertainInput> inputs = answers::uncertain_inputs(stated);
    const std::vector<double> changes = truth(inputs, stated);
    Made m{answers::perturbed(stated, inputs, changes.data()), {}, {}, 0};
    m.run = treatment::run_station(m.real, 0);
    m.answer = answers::answer_station(m.real, m.run, answers::soak_margins(m.real, 0, m.run));
    for (std::size_t i = 0; i < inputs.size(); ++i)
      if (inputs[i].adjust) {
        inputs[i].adjust(m.answer, changes[i]);
        m.fresh_HRC = changes[i];
      }
    return m;
  }

  double hardness_read(double hrc) {
    const double read = hrc + shop::tester_offset_HRC * staying("tester") + shop::reading_HRC * own();
    return std::round(2 * read) / 2; // a dial is read to half a point
  }
  /// A thermocouple on the blade in its packet.
  records::LogRecord packet_log(const Made& m) {
    const treatment::StepSpan* span = treatment::span_of(m.run, treatment::Part::furnace);
    const double offset = 3.2 / answers::normal_half_90 * staying("thermocouple");
    records::LogRecord log;
    for (double t = span->from_s; t <= span->to_s; t += 10) {
      log.time_s.push_back(t - span->from_s);
      log.temperature_degC.push_back(
          treatment::trace_value(m.run.time_s, m.run.zones[treatment::zone_thickest].temperature, t) +
          offset + 0.5 * own());
    }
    log.level_degC = log.temperature_degC.back();
    return log;
  }
  /// The same couple through the oil, ten readings a second; how it sits makes it follow faster or slower.
  records::LogRecord quench_log(const Made& m) {
    const treatment::StepSpan *way = treatment::span_of(m.run, treatment::Part::transfer),
                              *bath = treatment::span_of(m.run, treatment::Part::bath);
    const double offset = 3.2 / answers::normal_half_90 * staying("thermocouple"),
                 slower = math::exp(0.1 / answers::normal_half_90 * own());
    records::LogRecord log;
    for (double t = way->from_s; t <= bath->to_s; t += 0.1) {
      log.time_s.push_back(slower * (t - way->from_s));
      log.temperature_degC.push_back(
          treatment::trace_value(m.run.time_s, m.run.zones[treatment::zone_thickest].temperature, t) +
          offset + 0.5 * own());
    }
    log.level_degC = log.temperature_degC.front();
    return log;
  }
  struct CooledCoupon {
    records::LogRecord log;
    double hrc;
  };
  /// A coupon of 3 mm of the bar, soaked with the blade and cooled with this heat transfer [W/(m2 K)], its
  /// thermocouple read five times a second.
  CooledCoupon coupon(const Made& m, double htc_W_m2K) {
    treatment::Case c = shop::piece_case(m.real, 3e-3);
    c.for_each_bath([&](treatment::Bath& b) { b.fixed_htc_W_m2K = htc_W_m2K; });
    for (treatment::Step& step : c.steps)
      if (auto* bath = step.as<treatment::Bath>())
        bath->time_s = 1000;
    const treatment::Run run = treatment::run_station(c, 0);
    const treatment::StepSpan *way = treatment::span_of(run, treatment::Part::transfer),
                              *bath = treatment::span_of(run, treatment::Part::bath);
    const double offset = 3.2 / answers::normal_half_90 * staying("thermocouple");
    CooledCoupon out{};
    const auto& trace = run.zones[treatment::zone_thickest].temperature;
    for (double t = way->from_s; t <= bath->to_s; t += 0.2) {
      const double T = treatment::trace_value(run.time_s, trace, t) + offset + 0.5 * own();
      out.log.time_s.push_back(t - way->from_s);
      out.log.temperature_degC.push_back(T);
      if (T < 150)
        break;
    }
    out.log.level_degC = out.log.temperature_degC.front();
    const auto answer = answers::answer_station(c, run, answers::soak_margins(c, 0, run));
    out.hrc = hardness_read(answer.zones[treatment::zone_thickest].as_quenched_HRC + m.fresh_HRC);
    return out;
  }
  records::LogRecord oven_log(const Made& m) {
    const double T = m.real.oven().oven_degC + 2 * own();
    return {{0, 3600}, {T, T}, T, {}};
  }

  bool average_blades = false; ///< nothing of a blade's own, for tests of one thing alone

 private:
  double own() { return average_blades ? 0 : normal(); }
  double staying(const std::string& name) {
    const auto fixed = fixed_.find(name);
    if (fixed != fixed_.end())
      return fixed->second;
    const double z = average_blades ? 0 : normal();
    return fixed_[name] = z;
  }
  double score(const answers::UncertainInput& input, const treatment::Case& c) {
    if (const auto fixed = fixed_.find(input.key); fixed != fixed_.end())
      return fixed->second;
    return staying(shop::score_name(input.key, input.width, c, ""));
  }

  std::mt19937_64 random_;
  std::map<std::string, double> fixed_;
};

} // namespace tq::test
