#include "records/read_log.hpp"

#include "records/csv.hpp"
#include "records/document.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace tq::records {
namespace {

using units::formatted, units::lower_case;

constexpr double day_s = 86400;
constexpr double latest_s = 1e11, longest_log_s = 400 * 3600; ///< loggers may count from 1970
constexpr double coldest_degC = -50, hottest_degC = 1400;
constexpr double lone_K = 150;           ///< a reading so far off both its neighbours is none; assumption
constexpr std::size_t most_points = 200; ///< each is a corner on which the solver lands
constexpr double told_K = 1;             ///< thinning by less is not told
constexpr double near_hottest_K = 25, hottest_minute_s = 60, hottest_share = 0.05;

struct Reading {
  double time_s, temperature_degC;
  int line;
};

[[noreturn]] void refuse(const std::string& file, int line, const std::string& message) {
  throw InputError(file + ":" + std::to_string(line) + ": " + message, file, line);
}

std::string trimmed(std::string_view cell) { return std::string(units::trimmed(cell, " \t")); }

bool has_digit(std::string_view text) { return text.find_first_of("0123456789") != std::string_view::npos; }

/// A cell as a message quotes it.
std::string quoted(const std::string& cell) {
  constexpr std::size_t most = 40;
  return toml_string(cell.size() > most ? cell.substr(0, most) + "..." : cell);
}

/// What a heading says of its column.
struct Heading {
  std::string unit;      ///< as units knows it; "": none
  std::string dimension; ///< "time", "temperature" or ""
};

Heading heading_of(const std::string& cell) {
  struct Known {
    const char* written;
    const char* unit;
    const char* dimension;
  };
  static constexpr std::array<Known, 20> known{{{"ms", "ms", "time"},
                                                {"s", "s", "time"},
                                                {"sec", "s", "time"},
                                                {"min", "min", "time"},
                                                {"h", "h", "time"},
                                                {"degc", "degC", "temperature"},
                                                {"deg c", "degC", "temperature"},
                                                {"c", "degC", "temperature"},
                                                {"\xC2\xB0"
                                                 "c",
                                                 "degC", "temperature"},
                                                {"\xB0"
                                                 "c",
                                                 "degC", "temperature"},
                                                {"celsius", "degC", "temperature"},
                                                {"degf", "degF", "temperature"},
                                                {"deg f", "degF", "temperature"},
                                                {"f", "degF", "temperature"},
                                                {"\xC2\xB0"
                                                 "f",
                                                 "degF", "temperature"},
                                                {"\xB0"
                                                 "f",
                                                 "degF", "temperature"},
                                                {"fahrenheit", "degF", "temperature"},
                                                {"k", "K", "temperature"},
                                                {"kelvin", "K", "temperature"},
                                                {"hr", "h", "time"}}};
  const std::string text = lower_case(trimmed(cell));
  std::string unit;
  if (!text.empty() && (text.back() == ']' || text.back() == ')')) {
    const auto open = text.find_last_of("[(");
    unit = open == std::string::npos ? "" : trimmed(text.substr(open + 1, text.size() - open - 2));
  } else if (const auto cut = text.find_last_of("_/ ,"); cut != std::string::npos)
    unit = trimmed(text.substr(cut + 1));
  for (const Known& k : known)
    if (unit == k.written)
      return {k.unit, k.dimension};
  for (const char* word : {"time", "clock", "date"})
    if (text.find(word) != std::string::npos)
      return {"", "time"};
  return {};
}

/// Seconds since midnight of "14:03:20.5", "2:03 PM" or the like, the date before it in `date`; nothing for
/// anything else.
std::optional<double> time_of_day(const std::string& cell, std::string& date) {
  std::string text = lower_case(trimmed(cell));
  if (!text.empty() && text.back() == 'z')
    text.pop_back();
  double half_day_s = -1;
  for (const char* half : {"am", "pm"})
    if (text.size() > 2 && text.compare(text.size() - 2, 2, half) == 0) {
      half_day_s = *half == 'p' ? day_s / 2 : 0;
      text = trimmed(text.substr(0, text.size() - 2));
      break;
    }
  const auto cut = text.find_last_of(" t");
  date = cut == std::string::npos ? "" : text.substr(0, cut);
  text = cut == std::string::npos ? text : text.substr(cut + 1);
  double seconds = 0, factor = 3600;
  std::size_t from = 0, parts = 0;
  for (; from <= text.size() && parts < 3; ++parts, factor /= 60) {
    const std::size_t to = std::min(text.find(':', from), text.size());
    const std::string part = text.substr(from, to - from);
    from = to + 1;
    if (part.empty() || part.find_first_not_of("0123456789.") != std::string::npos || part.size() > 12)
      return {};
    try {
      const double value = units::parse_number(part);
      if (value >= (parts == 0 ? 24 : 60))
        return {};
      seconds += factor * value;
    } catch (const units::QuantityError&) {
      return {};
    }
  }
  if (parts < 2 || from <= text.size())
    return {};
  if (half_day_s >= 0)
    seconds = std::fmod(seconds, day_s / 2) + half_day_s;
  return seconds;
}

/// The readings of a table in the order of its rows.
class LogTable {
 public:
  LogTable(const CsvTable& table, std::string file, const LogChoice& choice)
      : table_(table), file_(std::move(file)), choice_(choice) {
    choose_columns();
  }

  std::vector<Reading> readings() {
    std::vector<Reading> out;
    for (std::size_t n = 0; n < table_.rows.size(); ++n) {
      const auto& row = table_.rows[n];
      const int line = table_.lines[n];
      if (std::none_of(row.begin(), row.end(), has_digit))
        continue;
      if (!table_.faults[n].empty())
        refuse(file_, line, table_.faults[n]);
      const double t = time(row[time_], line);
      if (std::abs(t) > latest_s)
        refuse(file_, line, "the time " + quoted(row[time_]) + " is out of range");
      if (t <= last_s_)
        refuse(file_, line,
               "the time " + quoted(row[time_]) + " does not come after the one before it; times ascend");
      last_s_ = t;
      if (!has_digit(row[temperature_]))
        continue;
      const double T = number(row[temperature_], headings_[temperature_], line);
      if (!(T >= coldest_degC && T <= hottest_degC))
        refuse(file_, line,
               "the temperature " + quoted(row[temperature_]) +
                   " is out of range; allowed: -50 to 1400 degC");
      out.push_back({t, T, line});
    }
    return out;
  }

  /// The start of the step on the clock of readings().
  double start(double first_s) const {
    if (choice_.start.empty())
      return first_s;
    std::string date;
    if (const auto clock = time_of_day(choice_.start, date)) {
      if (!clocked_)
        throw InputError(
            file_ + ": log_start is a time of day, but the log counts its times; write it like \"120 s\"");
      return *clock < first_s ? *clock + day_s : *clock;
    }
    try {
      const double t = units::parse_quantity(choice_.start, "time");
      return clocked_ ? first_s + t : t;
    } catch (const units::QuantityError& error) {
      throw InputError(file_ + ": log_start: " + error.what() + ", or a time of day like \"14:03:20\"");
    }
  }

 private:
  void choose_columns() {
    for (const std::string& cell : table_.heading)
      headings_.push_back(heading_of(cell));
    std::vector<std::size_t> times, temperatures;
    std::string names;
    for (std::size_t i = 0; i < headings_.size(); ++i) {
      if (headings_[i].dimension == "time")
        times.push_back(i);
      if (headings_[i].dimension == "temperature" &&
          (choice_.column.empty() || trimmed(table_.heading[i]) == choice_.column)) {
        constexpr std::size_t most_named = 8;
        temperatures.push_back(i);
        if (temperatures.size() <= most_named)
          names += (names.empty() ? "" : ", ") + quoted(trimmed(table_.heading[i]));
        else if (temperatures.size() == most_named + 1)
          names += ", ...";
      }
    }
    const int line = table_.heading_line;
    if (times.empty())
      refuse(file_, line,
             "no column of times; its heading ends in a unit, like time_s, \"Time [min]\", or has the word "
             "time or clock and times of day below it");
    if (temperatures.empty())
      refuse(file_, line,
             choice_.column.empty()
                 ? "no column of temperatures; its heading ends in a unit, like temperature_degC or "
                   "\"Furnace [degF]\""
                 : "no column " + quoted(choice_.column) + " with a unit of temperature in its heading");
    if (temperatures.size() > 1)
      refuse(file_, line,
             std::to_string(temperatures.size()) + " columns of temperatures (" + names +
                 "); say which with log_column");
    time_ = times.front();
    temperature_ = temperatures.front();
  }

  double number(const std::string& cell, const Heading& heading, int line) const {
    std::string text = trimmed(cell);
    if (table_.separator != ',')
      std::replace(text.begin(), text.end(), ',', '.');
    try {
      return units::from_unit(units::parse_number(text), heading.unit, heading.dimension);
    } catch (const units::QuantityError&) {
      refuse(file_, line, quoted(cell) + " is no number (of " + heading.unit + ", as its heading says)");
    }
  }

  double time(const std::string& cell, int line) {
    if (!headings_[time_].unit.empty())
      return number(cell, headings_[time_], line);
    std::string date;
    const auto clock = time_of_day(cell, date);
    if (!clock)
      refuse(file_, line,
             quoted(cell) + " is no time of day like 14:03:20; a count of seconds or minutes needs its "
                            "unit in the heading, like time_s");
    if (clocked_ && (date.empty() ? *clock < clock_s_ - day_s / 2 : date != date_))
      days_ += 1;
    clocked_ = true;
    clock_s_ = *clock;
    date_ = date;
    return days_ * day_s + *clock;
  }

  const CsvTable& table_;
  std::string file_;
  const LogChoice& choice_;
  std::vector<Heading> headings_;
  std::size_t time_ = 0, temperature_ = 0;
  bool clocked_ = false;
  double clock_s_ = 0, days_ = 0, last_s_ = -std::numeric_limits<double>::infinity();
  std::string date_;
};

void check_lone_readings(const std::vector<Reading>& all, const std::string& file) {
  for (std::size_t n = 1; n + 1 < all.size(); ++n) {
    const double before = all[n].temperature_degC - all[n - 1].temperature_degC,
                 behind = all[n].temperature_degC - all[n + 1].temperature_degC;
    if (before * behind > 0 && std::min(std::abs(before), std::abs(behind)) > lone_K)
      refuse(file, all[n].line,
             formatted(
                 "%.0f degC lies %.0f K off the readings before and behind it; empty the cell if the sensor "
                 "failed",
                 all[n].temperature_degC, std::min(std::abs(before), std::abs(behind))));
  }
}

/// Tells the gaps that are bridged, refuses those that are too long.
void bridge_gaps(const std::vector<Reading>& all, const std::string& file, double longest_s,
                 std::vector<std::string>& remarks) {
  std::vector<double> apart;
  for (std::size_t n = 1; n < all.size(); ++n)
    apart.push_back(all[n].time_s - all[n - 1].time_s);
  auto middle = apart.begin() + static_cast<std::ptrdiff_t>(apart.size() / 2);
  std::vector<double> sorted = apart;
  std::nth_element(sorted.begin(), sorted.begin() + (middle - apart.begin()), sorted.end());
  constexpr double times_usual = 3, least_s = 30;
  const double usual_s = sorted[apart.size() / 2];
  int gaps = 0;
  double widest_s = 0;
  for (std::size_t n = 0; n < apart.size(); ++n) {
    if (apart[n] > longest_s)
      refuse(file, all[n + 1].line,
             formatted("no reading for %.4g min before this one; allowed: %.4g min, see log_gap",
                       apart[n] / 60, longest_s / 60));
    if (apart[n] > std::max(times_usual * usual_s, least_s)) {
      ++gaps;
      widest_s = std::max(widest_s, apart[n]);
    }
  }
  if (gaps > 0)
    remarks.push_back(
        formatted("%s has %d %s without a reading, of up to %.3g min: bridged by a straight line",
                  file.c_str(), gaps, gaps == 1 ? "stretch" : "stretches", widest_s / 60));
}

/// The rows at which a line turns that stays within `tolerance` of all: a corridor from corner to corner.
std::vector<std::size_t> corners(const LogRecord& log, double tolerance) {
  const auto& t = log.time_s;
  const auto& T = log.temperature_degC;
  std::vector<std::size_t> kept{0};
  constexpr double wide = std::numeric_limits<double>::infinity();
  double least = -wide, most = wide;
  for (std::size_t n = 1; n < t.size(); ++n) {
    const std::size_t from = kept.back();
    const double slope = (T[n] - T[from]) / (t[n] - t[from]);
    if (slope < least || slope > most) {
      kept.push_back(n - 1);
      least = -wide, most = wide;
    }
    const std::size_t corner = kept.back();
    least = std::max(least, (T[n] - tolerance - T[corner]) / (t[n] - t[corner]));
    most = std::min(most, (T[n] + tolerance - T[corner]) / (t[n] - t[corner]));
  }
  kept.push_back(t.size() - 1);
  return kept;
}

void thin_out(LogRecord& log, const std::string& file) {
  if (log.time_s.size() <= most_points)
    return;
  double tolerance = 0.1;
  std::vector<std::size_t> kept = corners(log, tolerance);
  while (kept.size() > most_points)
    kept = corners(log, tolerance *= 1.5);
  LogRecord thin;
  double off = 0;
  for (std::size_t k = 0; k < kept.size(); ++k) {
    thin.time_s.push_back(log.time_s[kept[k]]);
    thin.temperature_degC.push_back(log.temperature_degC[kept[k]]);
    for (std::size_t n = k > 0 ? kept[k - 1] : 0; k > 0 && n < kept[k]; ++n) {
      const double share = (log.time_s[n] - thin.time_s[k - 1]) / (thin.time_s[k] - thin.time_s[k - 1]);
      const double line =
          thin.temperature_degC[k - 1] + share * (thin.temperature_degC[k] - thin.temperature_degC[k - 1]);
      off = std::max(off, std::abs(log.temperature_degC[n] - line));
    }
  }
  if (off > told_K)
    log.remarks.push_back(formatted("%s: %zu readings taken as %zu corners, which is off by up to %.2g K",
                                    file.c_str(), log.time_s.size(), kept.size(), off));
  log.time_s = std::move(thin.time_s);
  log.temperature_degC = std::move(thin.temperature_degC);
}

double level_of(const LogRecord& log) {
  std::vector<std::pair<double, double>> spans; // temperature and for how long, hottest first
  double length = 0;
  for (std::size_t n = 1; n < log.time_s.size(); ++n) {
    const double seconds = log.time_s[n] - log.time_s[n - 1];
    spans.push_back({0.5 * (log.temperature_degC[n] + log.temperature_degC[n - 1]), seconds});
    length += seconds;
  }
  std::sort(spans.begin(), spans.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  const double aside = std::min(hottest_minute_s, hottest_share * length);
  double counted = 0, hottest = spans.front().first;
  for (const auto& [T, seconds] : spans) {
    hottest = T;
    if ((counted += seconds) > aside)
      break;
  }
  double near = 0;
  for (const auto& [T, seconds] : spans)
    near += T >= hottest - near_hottest_K ? seconds : 0;
  counted = 0;
  for (const auto& [T, seconds] : spans)
    if ((counted += seconds) >= 0.5 * near)
      return std::round(10 * T) / 10;
  return hottest;
}

} // namespace

LogRecord read_log(std::string_view text, const std::string& file, const LogChoice& choice) {
  const CsvTable table = read_csv(text, file, '#');
  LogTable rows(table, file, choice);
  const std::vector<Reading> all = rows.readings();
  if (all.size() < 2)
    throw InputError(file + ": " + std::to_string(all.size()) + " readings; a log has at least two");
  check_lone_readings(all, file);
  const double start = rows.start(all.front().time_s);
  LogRecord log;
  std::vector<Reading> used;
  for (std::size_t n = 0; n < all.size(); ++n) {
    if (n > 0 && all[n - 1].time_s < start && all[n].time_s > start) {
      const double share = (start - all[n - 1].time_s) / (all[n].time_s - all[n - 1].time_s);
      used.push_back(
          {start,
           all[n - 1].temperature_degC + share * (all[n].temperature_degC - all[n - 1].temperature_degC),
           all[n].line});
    }
    if (all[n].time_s >= start)
      used.push_back(all[n]);
  }
  if (start < all.front().time_s || used.size() < 2)
    throw InputError(file + ": log_start " + toml_string(choice.start) +
                     " lies before the first reading or behind the last");
  if (used.back().time_s - start > longest_log_s)
    throw InputError(file + ": longer than 400 h, which no treatment takes");
  bridge_gaps(used, file, choice.longest_gap_s, log.remarks);
  for (const Reading& r : used) {
    log.time_s.push_back(r.time_s - start);
    log.temperature_degC.push_back(r.temperature_degC);
  }
  thin_out(log, file);
  log.level_degC = level_of(log);
  return log;
}

} // namespace tq::records
