#include "sweep/step_texts.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <sstream>

namespace tq::sweep {
namespace {

/// Lines of the resolved text by the table they stand in; tables of a step each on their own.
struct Sections {
  std::string base, judged;
  std::map<std::string, std::string> of_part; ///< transfer, bath, second_bath, cool, temper
  std::vector<std::string> steps;
};

/// Keys of a bath that say nothing about the section, its grid or what lies on it, so that the furnace does
/// not know them. All others count from the beginning.
constexpr std::array<const char*, 5> bath_alone{"coolant", "temperature", "volume", "agitation", "time"};

std::string key_of(const std::string& line) { return line.substr(0, line.find(' ')); }

Sections sections_of(const std::string& resolved) {
  Sections out;
  std::string table;
  bool in_step = false;
  std::istringstream lines(resolved);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line.front() == '#')
      continue;
    if (line.front() == '[') {
      table = line.substr(line.find_first_not_of('['), line.find(']') - line.find_first_not_of('['));
      in_step = table == "step" || table.compare(0, 5, "step.") == 0;
      if (table == "step")
        out.steps.emplace_back();
    }
    line += "\n";
    const bool heading = line.front() == '[';
    if (in_step)
      out.steps.back() += line;
    else if (table == "verdict" || (table == "wish" && key_of(line) == "hardness") ||
             (table.empty() && key_of(line) == "title"))
      out.judged += line;
    else if (table == "transfer" || table == "cool")
      out.of_part[table] += line;
    else if (table == "bath" && !heading &&
             std::find(bath_alone.begin(), bath_alone.end(), key_of(line)) != bath_alone.end())
      out.of_part[table] += line;
    else if (table == "temper") // each temper is a step
      out.of_part[table] += key_of(line) == "count" ? std::string() : line;
    else
      out.base += line;
  }
  return out;
}

} // namespace

StepTexts StepTexts::of(const treatment::Case& c) {
  using treatment::Part;
  Sections all = sections_of(c.resolved_text);
  StepTexts out{all.base, std::vector<std::string>(c.steps.size()), all.judged};
  const auto is_oven = [&](std::size_t k) { return c.steps[k].as<treatment::Oven>() != nullptr; };
  std::size_t ovens = c.steps.size();
  while (ovens > 0 && is_oven(ovens - 1))
    --ovens;
  if (!all.steps.empty()) {
    // a list: all but the last ovens may have a say in the grid
    const bool one_each = all.steps.size() == c.steps.size();
    for (std::size_t k = 0; k < all.steps.size(); ++k)
      (one_each && k >= ovens ? out.steps[k] : out.base) += all.steps[k];
    return out;
  }
  const treatment::Hardening h = c.hardening();
  for (std::size_t k = 0; k < c.steps.size(); ++k) {
    if (h.furnace && k <= *h.furnace)
      continue;
    out.steps[k] = all.of_part["transfer"];
    if (h.carry && k <= *h.carry)
      continue;
    out.steps[k] += all.of_part["bath"];
    if (k < h.after(Part::bath))
      continue;
    out.steps[k] += all.of_part["cool"];
    if (k >= ovens)
      out.steps[k] += all.of_part["temper"];
  }
  return out;
}

std::size_t StepTexts::shared_with(const StepTexts& other) const {
  if (base != other.base)
    return none;
  const auto differ = std::mismatch(steps.begin(), steps.end(), other.steps.begin(), other.steps.end());
  return static_cast<std::size_t>(differ.first - steps.begin());
}

} // namespace tq::sweep
