#include "sweep/plan.hpp"

#include "answers/bands.hpp"
#include "records/csv.hpp"
#include "sweep/sample.hpp"
#include "treatment/key_facts.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <utility>

namespace tq::sweep {
namespace {

using records::InputError;
using records::Node;
using records::Range;
using treatment::KeyFacts;
using Holds = KeyFacts::Holds;

constexpr double inf = std::numeric_limits<double>::infinity();
constexpr Range anything{-inf, inf};

/// SI units in UDUNITS spelling; differences and scales of temperature are told apart by the dimension.
constexpr std::array<std::pair<const char*, const char*>, 22> si_units{{
    {"temperature", "degC"},
    {"temperature_difference", "K"},
    {"length", "m"},
    {"area", "m2"},
    {"time", "s"},
    {"volume", "m3"},
    {"mass", "kg"},
    {"heat_transfer_coefficient", "W m-2 K-1"},
    {"conductivity", "W m-1 K-1"},
    {"conductivity_slope", "W m-1 K-2"},
    {"specific_heat", "J kg-1 K-1"},
    {"specific_heat_slope", "J kg-1 K-2"},
    {"density", "kg m-3"},
    {"velocity", "m s-1"},
    {"heating_rate", "K s-1"},
    {"areal_heat_capacity", "J m-2 K-1"},
    {"latent_heat", "J kg-1"},
    {"energy_per_mole", "J mol-1"},
    {"per_kelvin", "K-1"},
    {"stress", "Pa"},
    {"per_stress", "Pa-1"},
    {"percent", "percent"},
}};

[[noreturn]] void fail(const std::string& file, int line, const std::string& message) {
  throw InputError(file + (line > 0 ? ":" + std::to_string(line) : "") + ": " + message, file, line);
}

/// The elements of a list that is written in TOML on one line.
std::vector<std::string> elements_of(const std::string& written) {
  std::vector<std::string> out;
  if (written.size() < 2 || written.front() != '[')
    return {written};
  std::string one;
  int depth = 0;
  char quote = 0;
  const auto take = [&] {
    const auto from = one.find_first_not_of(" \t\n");
    if (from != std::string::npos)
      out.push_back(one.substr(from, one.find_last_not_of(" \t\n") - from + 1));
    one.clear();
  };
  for (std::size_t i = 1; i + 1 < written.size(); ++i) {
    const char ch = written[i];
    if (quote != 0) {
      one += ch;
      if (ch == '\\' && quote == '"')
        one += written[++i];
      else if (ch == quote)
        quote = 0;
      continue;
    }
    if (ch == '"' || ch == '\'')
      quote = ch;
    depth += ch == '[' || ch == '{' ? 1 : ch == ']' || ch == '}' ? -1 : 0;
    if (ch == ',' && depth == 0)
      take();
    else
      one += ch;
  }
  take();
  return out;
}

/// A TOML value without its quotes.
std::string bare(const std::string& element) {
  const bool quoted = element.size() >= 2 && (element.front() == '"' || element.front() == '\'') &&
                      element.back() == element.front();
  return quoted ? element.substr(1, element.size() - 2) : element;
}

class Reader {
 public:
  Reader(std::string file, const std::function<std::size_t(const std::string&)>& stations,
         const TextSource& tables)
      : file_(std::move(file)), stations_of_(stations), tables_(tables) {}

  Plan read(std::string_view text) {
    plan_.text = text;
    plan_.file = file_;
    const Node root = records::parse_document(text, file_);
    if (root.integer("format", {1, 1000}) != 1)
      root.fail("format", "is newer than this program; it reads format 1");
    plan_.title = root.text("title", "");
    plan_.case_path = root.text("case");
    stations_ = stations_of_(plan_.case_path);
    if (root.has("figures"))
      plan_.figures = root.texts("figures");
    plan_.verdicts = root.has("verdicts") ? root.texts("verdicts")
                                          : std::vector<std::string>{"soak", "quench", "hardness"};
    plan_.draws = root.integer("draws", {0, answers::most_members}, 0);
    if (plan_.draws > 0 && plan_.draws < answers::fewest_members)
      root.fail("draws", units::formatted("%d; allowed: 0, or %d to %d", plan_.draws, answers::fewest_members,
                                          answers::most_members));
    plan_.seed = static_cast<std::uint64_t>(root.integer("seed", {0, std::numeric_limits<int>::max()}, 1));
    for (const Node& axis : root.tables("axis"))
      read_axis(axis);
    if (const auto sample = root.optional_table("sample"))
      read_sample(*sample);
    if (const auto rows = root.optional_table("rows"))
      read_rows(*rows);
    root.finish();
    check();
    return std::move(plan_);
  }

 private:
  AxisKey key_of(const Node& node, const std::string& key, int line) {
    AxisKey out;
    out.key = key;
    out.line = line;
    if (const auto earlier = lines_.find(key); earlier != lines_.end())
      fail(file_, line,
           "axis " + key + ": stands on line " + std::to_string(earlier->second) +
               " too; one of them is enough");
    lines_[key] = line;
    std::optional<KeyFacts> facts = treatment::key_facts(key);
    const std::vector<std::string> parts = treatment::parts_of_key(key);
    out.paths = {key};
    // a key of the sections without a number is that of all of them; "blade.spine" is short for it
    if (parts.front() == "blade" && (parts.size() == 2 || (parts.size() == 3 && parts[1] == "station"))) {
      const std::string own = "." + parts.back();
      const bool short_form = parts.size() == 2 && !facts;
      if (const auto of_station = treatment::key_facts("blade.station.1" + own);
          of_station && (short_form || parts.size() == 3)) {
        facts = of_station;
        out.paths.clear();
        for (std::size_t k = 1; k <= stations_; ++k)
          out.paths.push_back("blade.station." + std::to_string(k) + own);
      }
    }
    if (!facts)
      return out; // the case itself says what is wrong with it
    out.numeric = facts->holds == Holds::number || facts->holds == Holds::integer;
    out.whole = facts->holds == Holds::integer;
    out.dimension = facts->dimension;
    out.says = facts->says;
    (void)node;
    return out;
  }

  double number(const Node& node, std::string_view key, const AxisKey& axis, const std::string& dimension) {
    if (!axis.numeric)
      fail(file_, axis.line,
           "axis " + axis.key + ": " + std::string(key) +
               " needs a key that is a number; list its values instead");
    return dimension.empty() ? node.number(key, anything) : node.quantity(key, dimension, anything);
  }

  /// Values at even distances.
  void range_of(const Node& node, AxisKey& axis) {
    const double from = number(node, "from", axis, axis.dimension),
                 to = number(node, "to", axis, axis.dimension);
    expect_finite(axis, from, to);
    if (node.has("count") == node.has("step"))
      fail(file_, axis.line,
           "axis " + axis.key + ": a range from ... to ... needs count or step, one of them");
    std::size_t count = 0;
    double step = 0;
    if (node.has("count")) {
      count = static_cast<std::size_t>(node.integer("count", {1, 1e9}));
      step = count > 1 ? (to - from) / static_cast<double>(count - 1) : 0;
    } else {
      step = number(node, "step", axis,
                    axis.dimension == "temperature" ? std::string("temperature_difference") : axis.dimension);
      const double steps = step != 0 ? (to - from) / step : -1;
      if (!(steps >= 0) || steps > static_cast<double>(most_cases))
        fail(file_, axis.line,
             "axis " + axis.key + ": no end is reached from " + node.written("from") + " to " +
                 node.written("to") + " in steps of " + node.written("step"));
      count = static_cast<std::size_t>(std::floor(steps + 1e-9)) + 1;
    }
    expect_room(axis.line, static_cast<double>(count));
    for (std::size_t i = 0; i < count; ++i)
      axis.values.push_back(
          node.has("count") && i + 1 == count && count > 1 ? to : from + step * static_cast<double>(i));
  }

  /// Values are kept, each of 8 bytes (those of a sample twice while it is drawn).
  void expect_room(int line, double count) {
    values_ += count;
    if (values_ > static_cast<double>(most_values))
      fail(file_, line,
           units::formatted("%.3g values up to here; at most %.3g on all axes together", values_,
                            static_cast<double>(most_values)));
  }
  void expect_finite(const AxisKey& axis, double from, double to) {
    if (!std::isfinite(to - from))
      fail(file_, axis.line, "axis " + axis.key + ": from and to lie too far apart");
  }

  /// What the texts of a numeric key mean, where they can be read; the case itself complains of the others.
  void understand(AxisKey& axis) {
    if (!axis.numeric)
      return;
    try {
      for (const std::string& text : axis.texts)
        axis.values.push_back(axis.dimension.empty() ? units::parse_number(bare(text))
                                                     : units::parse_quantity(bare(text), axis.dimension));
    } catch (const units::QuantityError&) {
      axis.numeric = false; // a word among the numbers
      axis.values.clear();
    }
  }

  void read_axis(const Node& node) {
    const std::string key = node.text("key");
    AxisKey axis = key_of(node, key, node.line("key"));
    if (node.has("values") == node.has("from"))
      fail(file_, axis.line, "axis " + key + ": needs values = [...] or from, to and count or step");
    if (node.has("values")) {
      node.accept("values");
      axis.texts = elements_of(node.written("values"));
      if (axis.texts.empty())
        fail(file_, node.line("values"), "axis " + key + ": values is empty; give at least one");
      understand(axis);
    } else {
      range_of(node, axis);
    }
    const std::size_t size = std::max(axis.texts.size(), axis.values.size());
    const std::string with = node.text("with", "");
    const auto beside = std::find_if(plan_.factors.begin(), plan_.factors.end(),
                                     [&](const Factor& f) { return !with.empty() && f.name == with; });
    if (beside == plan_.factors.end()) {
      plan_.factors.push_back({with.empty() ? key : with, {std::move(axis)}, size});
      return;
    }
    if (beside->size != size)
      fail(file_, axis.line,
           units::formatted(
               "axis %s: %zu values, but %s beside it has %zu; axes with the same `with` go together",
               key.c_str(), size, beside->keys.front().key.c_str(), beside->size));
    beside->keys.push_back(std::move(axis));
  }

  void read_sample(const Node& node) {
    const std::string method = node.choice("method", {"sobol", "latin hypercube"});
    const auto points =
        static_cast<std::size_t>(node.integer("points", {1, static_cast<double>(most_cases)}));
    const auto seed =
        static_cast<std::uint64_t>(node.integer("seed", {0, std::numeric_limits<int>::max()}, 1));
    const std::vector<Node> axes = node.tables("axis");
    if (axes.empty())
      fail(file_, node.line(""), "sample: needs at least one [[sample.axis]] with key, from and to");
    if (axes.size() > answers::most_dimensions)
      fail(file_, node.line(""),
           units::formatted("sample: %zu axes; at most %zu", axes.size(), answers::most_dimensions));
    expect_room(node.line(""), static_cast<double>(points) * static_cast<double>(axes.size()));
    const std::vector<double> at = method == "sobol" ? answers::sobol_points(points, axes.size(), seed)
                                                     : latin_hypercube(points, axes.size(), seed);
    Factor factor{"sample", {}, points};
    for (std::size_t d = 0; d < axes.size(); ++d) {
      AxisKey axis = key_of(axes[d], axes[d].text("key"), axes[d].line("key"));
      const double from = number(axes[d], "from", axis, axis.dimension),
                   to = number(axes[d], "to", axis, axis.dimension);
      expect_finite(axis, from, to);
      axis.values.reserve(points);
      for (std::size_t i = 0; i < points; ++i) {
        const double value = from + (to - from) * at[i * axes.size() + d];
        axis.values.push_back(axis.whole ? std::round(value) : value);
      }
      factor.keys.push_back(std::move(axis));
    }
    plan_.factors.push_back(std::move(factor));
  }

  void read_rows(const Node& node) {
    const std::string name = node.text("file");
    const int line = node.line("file");
    const records::CsvTable table = records::read_csv(tables_(name), name);
    if (table.rows.empty())
      fail(file_, line, "rows: " + name + " has no rows below its heading");
    Factor factor{"rows", {}, table.rows.size()};
    for (std::size_t r = 0; r < table.rows.size(); ++r)
      if (!table.faults[r].empty())
        fail(name, table.lines[r], table.faults[r]);
    for (std::size_t column = 0; column < table.heading.size(); ++column) {
      AxisKey axis = key_of(node, table.heading[column], line);
      for (std::size_t r = 0; r < table.rows.size(); ++r) {
        if (table.rows[r][column].empty())
          fail(name, table.lines[r], "nothing stands below " + axis.key);
        axis.texts.push_back(table.rows[r][column]);
      }
      understand(axis);
      factor.keys.push_back(std::move(axis));
    }
    plan_.factors.push_back(std::move(factor));
  }

  void check() {
    if (plan_.factors.empty())
      fail(file_, 0, "nothing to sweep: give at least one [[axis]], [sample] or [rows]");
    double all = 1;
    std::string product;
    std::set<std::string> names;
    for (Factor& f : plan_.factors) {
      all *= static_cast<double>(f.size);
      product += (product.empty() ? "" : " x ") + std::to_string(f.size);
      if (!names.insert(f.name).second)
        fail(file_, f.keys.front().line,
             "`with` = \"" + f.name + "\" is the name of another axis; choose another");
      f.stage = inf;
      for (const AxisKey& key : f.keys)
        f.stage = std::min(f.stage, stage_of(key.key));
    }
    if (all > static_cast<double>(most_cases))
      fail(file_, plan_.factors.back().keys.front().line,
           units::formatted("%s = %.3g cases; at most %zu in a plan", product.c_str(), all, most_cases));
    if (plan_.figures.empty() && plan_.verdicts.empty())
      fail(file_, 0, "nothing is wanted: give figures or verdicts");
  }

  std::string file_;
  const std::function<std::size_t(const std::string&)>& stations_of_;
  const TextSource& tables_;
  Plan plan_;
  std::size_t stations_ = 1;
  double values_ = 0;                ///< on all axes so far
  std::map<std::string, int> lines_; ///< of the keys so far
};

} // namespace

std::string AxisKey::text(std::size_t i) const {
  if (!texts.empty())
    return texts[i];
  if (!dimension.empty())
    return units::format_quantity(values[i], dimension);
  return units::format_number(values[i]);
}

std::string AxisKey::label(std::size_t i) const { return bare(text(i)); }

const char* AxisKey::unit() const {
  for (const auto& [name, unit] : si_units)
    if (dimension == name)
      return unit;
  return "1";
}

std::size_t Plan::cases() const {
  std::size_t all = 1;
  for (const Factor& f : factors)
    all *= f.size;
  return all;
}

std::size_t Plan::number(const std::vector<std::size_t>& at) const {
  std::size_t out = 0;
  for (std::size_t f = 0; f < factors.size(); ++f)
    out = out * factors[f].size + at[f];
  return out;
}

std::vector<std::size_t> Plan::places(std::size_t number) const {
  std::vector<std::size_t> out(factors.size());
  for (std::size_t f = factors.size(); f-- > 0; number /= factors[f].size)
    out[f] = number % factors[f].size;
  return out;
}

std::vector<records::Setting> Plan::settings(std::size_t number) const {
  std::vector<records::Setting> out;
  const std::vector<std::size_t> at = places(number);
  for (std::size_t f = 0; f < factors.size(); ++f)
    for (const AxisKey& key : factors[f].keys)
      for (const std::string& path : key.paths)
        out.push_back({path, key.text(at[f])});
  return out;
}

Plan read_plan(std::string_view text, std::string file, const TextSource& tables,
               const std::function<std::size_t(const std::string& case_path)>& stations) {
  return Reader(std::move(file), stations, tables).read(text);
}

void try_values(const Plan& plan, const CaseReader& read, std::size_t most) {
  for (std::size_t f = 0; f < plan.factors.size(); ++f) {
    const Factor& factor = plan.factors[f];
    const std::size_t tries = std::min(factor.size, std::max<std::size_t>(most, 2));
    for (std::size_t k = 0; k < tries; ++k) {
      std::vector<std::size_t> at(plan.factors.size(), 0);
      at[f] = tries < 2 ? 0 : k * (factor.size - 1) / (tries - 1);
      try {
        read(plan.settings(plan.number(at)));
      } catch (const InputError& error) {
        const std::string told = error.what(), first = told.substr(0, told.find('\n'));
        const std::string set = std::string(records::setting_file) + ": ";
        if (first.compare(0, set.size(), set) == 0)
          fail(plan.file, factor.keys.front().line, "axis " + first.substr(set.size()));
        std::string with;
        for (const AxisKey& key : factor.keys)
          with += (with.empty() ? "" : ", ") + key.key + " = " + key.text(at[f]);
        fail(plan.file, factor.keys.front().line, "axis with " + with + ": " + first);
      }
    }
  }
}

double stage_of(std::string_view key) {
  const std::vector<std::string> parts = treatment::parts_of_key(key);
  const std::string& table = parts.front();
  if (table == "transfer")
    return 1;
  if (table == "bath" || table == "second_bath")
    return 2;
  if (table == "cool")
    return 3;
  if (table == "temper")
    return 4;
  if (table == "verdict" || key == "wish.hardness")
    return 5;
  if (table == "step" && parts.size() > 2) {
    constexpr double per_step = 1e-3;
    double number = 0;
    try {
      number = units::parse_number(parts[1]);
    } catch (const units::QuantityError&) {
      number = 0; // by its name
    }
    return 1 + per_step * number;
  }
  return 0;
}

} // namespace tq::sweep
