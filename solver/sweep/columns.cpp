#include "sweep/columns.hpp"

#include "treatment/run.hpp"

#include <algorithm>
#include <array>
#include <limits>

namespace tq::sweep {
namespace {

using answers::Figure;

constexpr std::array<const char*, 7> verdict_keys{"soak",  "quench", "hardness", "bow",
                                                  "crack", "oil",    "edge"};
constexpr std::array<const char*, 4> of_risks{"bow", "crack", "oil", "edge"};
constexpr const char* zone_prefix = "zone.";
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

bool is_of_risks(const std::string& verdict) {
  return std::find(of_risks.begin(), of_risks.end(), verdict) != of_risks.end();
}

[[noreturn]] void unknown(const Plan& plan, const char* list, const std::string& name,
                          const std::vector<std::string>& known) {
  const std::string near = records::nearest(name, known);
  std::string all;
  for (const std::string& one : known)
    all += (all.empty() ? "" : ", ") + one;
  throw records::InputError(plan.file + ": " + list + ": \"" + name + "\" is not known; " +
                            (near.empty() ? "" : "did you mean \"" + near + "\"? ") + "allowed: " + all);
}

const Figure* figure_of(const std::string& name) {
  const bool of_zone = name.compare(0, std::string(zone_prefix).size(), zone_prefix) == 0;
  const std::string bare = of_zone ? name.substr(std::string(zone_prefix).size()) : name;
  const Figure* out = nullptr;
  for (const Figure& f : answers::figures())
    if (bare == f.meaning.name && (!of_zone || f.of_zone != nullptr) &&
        (out == nullptr || (!of_zone && f.of_station != nullptr)))
      out = &f;
  return out;
}

std::vector<std::string> all_names() {
  std::vector<std::string> out;
  for (const Figure& f : answers::figures()) {
    const std::string name = f.meaning.name;
    const bool both = f.of_zone != nullptr && figure_of(name) != &f;
    out.push_back(both ? zone_prefix + name : name);
  }
  return out;
}

Column column_of(const Figure& f, const std::string& name, Aspect aspect, const char* ending,
                 const char* of) {
  Column c;
  c.name = name + ending;
  c.unit = f.meaning.unit;
  c.long_name = std::string(f.meaning.long_name) + of;
  c.scale = f.meaning.scale;
  c.figure = &f;
  c.aspect = aspect;
  c.by_zone = f.of_zone != nullptr;
  c.by_station = true;
  return c;
}

double part_of(const answers::Band* band, Aspect aspect) {
  return band == nullptr            ? nan
         : aspect == Aspect::low    ? band->low
         : aspect == Aspect::middle ? band->middle
                                    : band->high;
}

double value_of(const Column& c, const answers::StationAnswer& s, const answers::StationBands* bands,
                std::size_t zone) {
  const Figure& f = *c.figure;
  if (c.aspect == Aspect::stated)
    return c.by_zone ? f.of_zone(s.zones[zone]) : f.of_station(s);
  if (bands == nullptr)
    return nan;
  return part_of(c.by_zone ? bands->zones[zone].find(f.meaning.name) : bands->find(f.meaning.name), c.aspect);
}

} // namespace

std::size_t Column::width(std::size_t stations) const {
  return (by_station ? stations : 1) * (by_zone ? static_cast<std::size_t>(treatment::zone_count) : 1);
}

std::vector<Column> columns_of(const Plan& plan) {
  std::vector<Column> out;
  for (const std::string& name : plan.figures) {
    const Figure* f = figure_of(name);
    if (f == nullptr)
      unknown(plan, "figures", name, all_names());
    out.push_back(column_of(*f, name, Aspect::stated, "", ""));
    if (plan.draws > 0 && f->spread.drawn) {
      out.push_back(column_of(*f, name, Aspect::low, "_low", "; 5 % of the draws lie below"));
      out.push_back(column_of(*f, name, Aspect::middle, "_middle", "; half of the draws lie below"));
      out.push_back(column_of(*f, name, Aspect::high, "_high", "; 5 % of the draws lie above"));
    }
  }
  const std::vector<std::string> verdicts(verdict_keys.begin(), verdict_keys.end());
  for (const std::string& key : plan.verdicts) {
    if (std::find(verdicts.begin(), verdicts.end(), key) == verdicts.end())
      unknown(plan, "verdicts", key, verdicts);
    Column c;
    c.name = "verdict_" + key;
    c.unit = "1";
    c.long_name = "verdict on the " + key + ": 0 pass, 1 marginal, 2 fail, 3 not asked";
    c.verdict = key;
    out.push_back(c);
    if (plan.draws > 0 && !is_of_risks(key)) {
      c.name += "_passing";
      c.long_name = "share of the draws that pass the " + key;
      c.aspect = Aspect::passing;
      out.push_back(c);
    }
  }
  for (std::size_t i = 0; i < out.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (out[i].name == out[j].name)
        throw records::InputError(plan.file + ": figures or verdicts: \"" + out[i].name + "\" stands twice");
  return out;
}

Needs needs_of(const std::vector<Column>& columns, int draws) {
  Needs out;
  if (draws > 0)
    out.margins = out.surface = out.metallurgy = true; // the bands are about all figures
  for (const Column& c : columns) {
    out.risks = out.risks || is_of_risks(c.verdict);
    if (c.figure == nullptr)
      continue;
    const std::string name = c.figure->meaning.name;
    out.margins = out.margins || name == "transfer_to_spare";
    out.surface = out.surface || c.figure->of_surface;
    out.metallurgy = out.metallurgy || name == "retained_austenite_tempered" || name == "cold_gain" ||
                     name == "flash_limit";
  }
  if (out.risks)
    out.margins = out.surface = out.metallurgy = true;
  return out;
}

std::size_t row_width(const std::vector<Column>& columns, std::size_t stations) {
  std::size_t out = 0;
  for (const Column& c : columns)
    out += c.width(stations);
  return out;
}

std::vector<double> values_of(const std::vector<Column>& columns, const answers::Answers& judged,
                              const answers::Bands* bands, const answers::Risks* risks) {
  std::vector<double> out;
  out.reserve(row_width(columns, judged.stations.size()));
  const std::vector<answers::NamedVerdict> verdicts = answers::all_verdicts(judged, risks);
  for (const Column& c : columns) {
    if (c.figure == nullptr) {
      const auto found = std::find_if(verdicts.begin(), verdicts.end(),
                                      [&](const answers::NamedVerdict& v) { return c.verdict == v.name; });
      out.push_back(found == verdicts.end()       ? nan
                    : c.aspect == Aspect::passing ? found->judgement->passing
                                                  : static_cast<double>(found->judgement->verdict));
      continue;
    }
    for (std::size_t k = 0; k < judged.stations.size(); ++k) {
      const answers::StationBands* drawn = bands != nullptr ? &bands->stations.at(k) : nullptr;
      for (std::size_t z = 0; z < (c.by_zone ? judged.stations[k].zones.size() : 1); ++z)
        out.push_back(value_of(c, judged.stations[k], drawn, z));
    }
  }
  return out;
}

} // namespace tq::sweep
