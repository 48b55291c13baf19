// map: one figure of a finished sweep as a picture.
#include "output/files/files.hpp"
#include "output/files/sweep_file.hpp"
#include "output/origin.hpp"
#include "output/sweep_map.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "records/document.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <map>
#include <optional>

namespace tq::program {

namespace {

using output::SweepAxis;
using output::SweepFile;
using output::SweepKey;

std::string names_of(const std::vector<std::string>& names) {
  std::string out;
  for (const std::string& name : names)
    out += (out.empty() ? "" : ", ") + name;
  return out;
}

[[noreturn]] void none_of(const char* option, const std::string& word,
                          const std::vector<std::string>& known) {
  const std::string near = records::nearest(word, known);
  throw UsageError(std::string(option) + ": '" + word + "' is none of this sweep; " +
                   (near.empty() ? "" : "did you mean '" + near + "'? ") + "it has " + names_of(known));
}

/// A key and the number of its axis.
struct Found {
  std::size_t axis;
  const SweepKey* key;
};

Found key_called(const SweepFile& file, const char* option, const std::string& name) {
  std::vector<std::string> known;
  for (std::size_t d = 0; d < file.axes.size(); ++d)
    for (const SweepKey& key : file.axes[d].keys) {
      if (key.name == name)
        return {d, &key};
      known.push_back(key.name);
    }
  none_of(option, name, known);
}

output::MapAxis axis_of(const SweepKey& key) {
  return {key.name, key.long_name, key.dimension, key.values, key.labels};
}

std::string text_at(const SweepKey& key, std::size_t i) {
  if (key.values.empty())
    return key.labels[i];
  return key.dimension.empty() ? units::format_number(key.values[i])
                               : units::format_quantity(key.values[i], key.dimension);
}

/// The same to four digits, for reading.
std::string brief_text_at(const SweepKey& key, std::size_t i) {
  const std::string exact = text_at(key, i);
  if (key.values.empty())
    return exact;
  const std::size_t space = std::min(exact.find(' '), exact.size());
  return output::formatted("%.4g", units::parse_number(exact.substr(0, space))) + exact.substr(space);
}

/// The place along the axis at which `key` has the value nearest to `text`.
std::size_t place_of(const SweepKey& key, const std::string& text) {
  if (key.values.empty()) {
    const auto found = std::find(key.labels.begin(), key.labels.end(), text);
    if (found == key.labels.end())
      none_of("--at", text, key.labels);
    return static_cast<std::size_t>(found - key.labels.begin());
  }
  double wanted = 0;
  try {
    wanted = key.dimension.empty() ? units::parse_number(text) : units::parse_quantity(text, key.dimension);
  } catch (const units::QuantityError& error) {
    throw UsageError("--at " + key.name + ": " + error.what());
  }
  const auto nearest = std::min_element(key.values.begin(), key.values.end(), [&](double a, double b) {
    return std::abs(a - wanted) < std::abs(b - wanted);
  });
  return static_cast<std::size_t>(nearest - key.values.begin());
}

std::size_t index_of(const char* option, const std::string& word, const std::vector<std::string>& known,
                     std::size_t otherwise) {
  if (word.empty())
    return otherwise;
  const auto found = std::find(known.begin(), known.end(), word);
  if (found == known.end())
    none_of(option, word, known);
  return static_cast<std::size_t>(found - known.begin());
}

/// Number of the case at these places.
std::size_t number_of(const SweepFile& file, const std::vector<std::size_t>& at) {
  std::size_t out = 0;
  for (std::size_t d = 0; d < at.size(); ++d)
    out = out * file.axes[d].size + at[d];
  return out;
}

/// Picks the values that are drawn, and says what the others are.
class Cut {
 public:
  Cut(const SweepFile& file, const SweepOptions& asked)
      : file_(file), x_(key_called(file, "--x", asked.x)), at_(file.axes.size(), 0) {
    if (!asked.y.empty())
      y_ = key_called(file, "--y", asked.y);
    if (y_ && y_->axis == x_.axis)
      throw UsageError("--y: " + asked.y + " changes together with " + asked.x + "; a map needs two axes");
    std::map<std::size_t, bool> told;
    for (const std::string& each : asked.at) {
      const auto equals = each.find('=');
      if (equals == std::string::npos)
        throw UsageError("--at: '" + each + "' is no key=value; write --at temper.oven='205 degC'");
      const Found found = key_called(file, "--at", each.substr(0, equals));
      if (found.axis == x_.axis || (y_ && found.axis == y_->axis))
        throw UsageError("--at: " + found.key->name + " is drawn along a side of the map");
      at_[found.axis] = place_of(*found.key, each.substr(equals + 1));
      told[found.axis] = true;
    }
    for (std::size_t d = 0; d < file.axes.size(); ++d)
      if (d != x_.axis && (!y_ || d != y_->axis)) {
        if (!told[d])
          at_[d] = file.axes[d].size / 2;
        for (const SweepKey& key : file.axes[d].keys)
          fixed_.push_back(key.name + " = " + brief_text_at(key, at_[d]));
      }
  }

  output::SweepMap map(const std::string& title) const {
    output::SweepMap out;
    out.title = title;
    out.x = axis_of(*x_.key);
    if (y_)
      out.y = axis_of(*y_->key);
    else
      out.y.labels = {""};
    out.fixed = fixed_;
    return out;
  }
  std::vector<double> of(const std::vector<double>& all) const {
    std::vector<double> out;
    std::vector<std::size_t> at = at_;
    for (std::size_t j = 0; j < (y_ ? file_.axes[y_->axis].size : 1); ++j)
      for (std::size_t i = 0; i < file_.axes[x_.axis].size; ++i) {
        at[x_.axis] = i;
        if (y_)
          at[y_->axis] = j;
        out.push_back(all[number_of(file_, at)]);
      }
    return out;
  }

 private:
  const SweepFile& file_;
  Found x_;
  std::optional<Found> y_;
  std::vector<std::size_t> at_;
  std::vector<std::string> fixed_;
};

} // namespace

void map(const Options& options) {
  const SweepOptions& asked = options.sweep;
  require_drawing("--output", asked.drawing);
  const SweepFile file(asked.result);
  std::vector<std::string> known;
  for (const output::SweepColumn& c : file.columns)
    known.push_back(c.name);
  const output::SweepColumn* column = file.column(asked.figure);
  if (column == nullptr)
    none_of("--figure", asked.figure, known);
  const std::size_t zone = index_of("--zone", asked.zone, file.zones, 0),
                    station = index_of("--station", asked.station, file.stations, 0);
  const Cut cut(file, asked);
  output::SweepMap out = cut.map(file.title.empty() ? asked.result : file.title);
  out.figure = column->name;
  out.unit = column->unit;
  out.says = column->verdict ? column->long_name.substr(0, column->long_name.find(':')) : column->long_name;
  out.is_verdict = column->verdict;
  out.value = cut.of(file.values(*column, station, zone));
  if (column->by_station && file.stations.size() > 1)
    out.fixed.push_back("section " + file.stations[station]);
  if (column->by_zone)
    out.fixed.push_back("zone " + file.zones[zone]);
  for (const output::SweepColumn& c : file.columns)
    if (c.verdict) {
      const std::vector<double> all = cut.of(file.values(c, 0, 0));
      out.verdicts.push_back({c.name.substr(std::string("verdict_").size()), {all.begin(), all.end()}});
    }
  std::filesystem::path svg = asked.drawing.empty() ? asked.result : asked.drawing;
  svg.replace_extension(".svg");
  std::filesystem::path html = svg;
  html.replace_extension(".html");
  const output::Drawing drawing = output::draw_sweep_map(out);
  std::vector<output::PendingFile> files;
  files.emplace_back(svg);
  files.back().write("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" +
                     drawing.svg.element(drawing.width, drawing.height, drawing.title, drawing.description));
  files.emplace_back(html);
  files.back().write(output::sweep_map_html(out, output::program_banner()));
  output::commit_together(files);
  if (!options.quiet)
    std::cout << svg.string() << "\n" << html.string() << "\n";
}

} // namespace tq::program
