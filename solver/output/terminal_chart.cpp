#include "output/terminal_chart.hpp"

#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"
#include "treatment/trace.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <ostream>

namespace tq::output {

using treatment::Part;
using treatment::Run;

void print_cooling_chart(std::ostream& out, const treatment::Case& c, const Run& run) {
  if (!has_cooling(run) || run.zones.size() < 3)
    return;
  constexpr int columns_wide = 64;
  double zero = 0, end = 0;
  bool begun = false;
  for (const treatment::StepSpan& span : run.spans)
    if (span.step >= run.hardening.done[0] && span.step < run.hardening.after(Part::cool)) {
      if (!begun)
        zero = span.from_s;
      begun = true;
      end = span.to_s - zero;
    }
  const treatment::StepSpan* bath = treatment::span_of(run, Part::bath);
  if (bath != nullptr)
    end = std::min(end, bath->to_s - zero);
  const double from = 0.5, to = std::max(round_125(end, true), 10.0);
  const double top = temperature_axis(hottest_of(run, zero, zero + end, false)).to;
  const double step = top >= 500 ? 100 : top > 200 ? 50 : 20; // of a line
  const int rows_high = static_cast<int>(std::ceil(top / step - 1e-9)) + 1;
  const auto column = [&](double t) {
    return static_cast<int>(std::lround((columns_wide - 1) * math::log(t / from) / math::log(to / from)));
  };
  const auto row = [&](double degC) {
    return std::clamp(rows_high - 1 - static_cast<int>(std::lround(degC / step)), 0, rows_high - 1);
  };

  std::vector<std::string> cells(static_cast<std::size_t>(rows_high), std::string(columns_wide, ' '));
  if (bath != nullptr && bath->from_s - zero > from)
    for (std::string& line : cells)
      line[static_cast<std::size_t>(column(bath->from_s - zero))] = ':';
  const struct {
    treatment::Zone zone;
    char letter;
  } curves[] = {{treatment::zone_spine, 's'}, {treatment::zone_middle, 'm'}, {treatment::zone_edge, 'e'}};
  for (const auto& curve : curves) {
    const std::vector<double>& T = run.zones[static_cast<std::size_t>(curve.zone)].temperature;
    for (int k = 0; k < columns_wide; ++k) {
      const double t = from * math::pow(to / from, static_cast<double>(k) / (columns_wide - 1));
      if (t > end)
        break;
      char& cell = cells[static_cast<std::size_t>(row(treatment::trace_value(run.time_s, T, zero + t)))]
                        [static_cast<std::size_t>(k)];
      cell = cell == ' ' || cell == ':' ? curve.letter : '*';
    }
  }

  out << '\n'
      << folded("COOLING " + clean_utf8(run.station), 80).front()
      << "\n  e edge, m middle, s spine, * together" << (bath != nullptr ? ", : into the bath" : "")
      << "\n  degC   degF\n";
  for (int r = 0; r < rows_high; ++r) {
    std::string& line = cells[static_cast<std::size_t>(r)];
    line.erase(line.find_last_not_of(' ') + 1);
    const int from_bottom = rows_high - 1 - r;
    const double degC = step * from_bottom;
    out << (from_bottom % 2 == 0 ? formatted("%6.0f %6.0f |", degC, degC * 1.8 + 32)
                                 : std::string(13, ' ') + " |")
        << line << '\n';
  }
  std::string ticks(columns_wide + 6, ' '), axis(columns_wide, '-');
  for (const double t : decade_ticks(from, to)) {
    const auto at = static_cast<std::size_t>(column(t));
    const std::string text = formatted("%g", t);
    axis[at] = '+';
    if (ticks.compare(at, text.size() + 1, std::string(text.size() + 1, ' ')) == 0)
      ticks.replace(at, text.size(), text);
  }
  ticks.erase(ticks.find_last_not_of(' ') + 1);
  out << std::string(14, ' ') << '+' << axis << '\n'
      << std::string(15, ' ') << ticks << '\n'
      << std::string(15, ' ') << "seconds from "
      << (c.heated() ? "leaving the furnace" : "the start of cooling") << ", logarithmic\n";
}

} // namespace tq::output
