#include "answers/case_path.hpp"

#include <algorithm>
#include <set>
#include <string_view>
#include <vector>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Step;

namespace {

std::string joined(const std::vector<std::string>& paths) {
  std::string out;
  for (const std::string& path : paths)
    out += (out.empty() ? "" : " ") + path;
  return out;
}

std::string of_step(const Step& step, const std::string& key) {
  return step.number > 0 ? "step[" + std::to_string(step.number) + "]." + key : "";
}

/// A thickness of the blade. All sections change with the spine, each in its own measure.
std::string of_section(const Case& c, const std::string& key) {
  const auto& stations = c.blade.stations;
  if (key == "spine" && stations.size() > 1)
    return "";
  std::vector<std::string> paths;
  for (std::size_t i = 0; i < stations.size(); ++i) {
    if (!stations[i].by_widths)
      return "";
    paths.push_back("blade.station[" + std::to_string(i + 1) + "]." + key);
  }
  return joined(paths);
}

/// The tempers of the last hardening; their number where one table tells it.
std::string of_tempers(const Case& c, const std::string& key) {
  const auto begin = static_cast<std::ptrdiff_t>(c.hardening().temper.value_or(c.steps.size()));
  std::set<int> numbers;
  for (auto step = c.steps.begin() + begin; step != c.steps.end(); ++step)
    if (const auto* oven = step->as<treatment::Oven>(); oven && oven->oven_degC == c.oven().oven_degC)
      numbers.insert(step->number);
  if (key == "count" && numbers.size() > 1)
    return "";
  std::vector<std::string> paths;
  for (const int number : numbers)
    paths.push_back("step[" + std::to_string(number) + "]." + key);
  return joined(paths);
}

/// What the blade is cooled to before its temper: in the cold where there is one, else in the air.
std::string of_cooling(const Case& c) {
  const auto first = c.hardening().cool;
  for (std::size_t k = first.value_or(c.steps.size()); k < c.steps.size(); ++k)
    if (c.steps[k].as<treatment::Cold>())
      return of_step(c.steps[k], "temperature");
  return first && c.steps[*first].as<treatment::Air>() ? of_step(c.steps[*first], "until") : "";
}

} // namespace

std::string case_path(const Case& c, const std::string& key) {
  const std::size_t dot = key.find('.');
  const std::string table = key.substr(0, dot), name = dot == std::string::npos ? "" : key.substr(dot + 1);
  if (table == "blade")
    return of_section(c, name.substr(name.find('.') + 1));
  const bool listed =
      std::any_of(c.steps.begin(), c.steps.end(), [](const Step& step) { return step.number > 0; });
  std::string path = key;
  if (listed && table == "temper")
    return of_tempers(c, name);
  if (listed && table == "cool")
    return of_cooling(c);
  const treatment::Hardening h = c.hardening();
  const auto place = table == "furnace" ? h.furnace : table == "transfer" ? h.carry : h.bath;
  if (listed && (table == "furnace" || table == "transfer" || table == "bath"))
    path = place ? of_step(c.steps[*place], name) : "";
  constexpr std::string_view programme = "programme.hold";
  if (path.ends_with(programme))
    path.insert(path.size() - std::string_view(".hold").size(),
                "[" + std::to_string(c.furnace().programme.size()) + "]");
  return path;
}

} // namespace tq::answers
