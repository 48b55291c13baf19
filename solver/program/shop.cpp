// What the journal of a shop taught.
#include "answers/careful_timer.hpp"
#include "answers/figures.hpp"
#include "answers/timer.hpp"
#include "answers/uncertain_inputs.hpp"
#include "output/json.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/shop_file.hpp"
#include "program/shop_learning.hpp"
#include "program/thread_pool.hpp"
#include "records/read_uncertainty.hpp"
#include "shop/learning.hpp"
#include "shop/plan.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <nlohmann/json.hpp>

namespace tq::program {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;
using output::formatted;
using output::padded;

/// What is believed of one input of a case, against what anybody would say.
struct LearntInput {
  std::string key, name, before, belongs;
  double middle = 0; ///< change from what the case states: a difference, or a factor
  double low = 0, high = 0;
  bool factor = false;
  double narrowed = 1; ///< width left of the width before, on the scale of its scores
  std::string dimension;
};

std::vector<LearntInput> learnt_inputs(const treatment::Case& stated, const treatment::Case& learnt) {
  std::vector<LearntInput> out;
  if (!learnt.uncertainty.learnt)
    return out;
  const treatment::Learnt& l = *learnt.uncertainty.learnt;
  for (const answers::UncertainInput& input : answers::uncertain_inputs(stated)) {
    const auto found = std::find(l.inputs.begin(), l.inputs.end(), input.key);
    if (found == l.inputs.end())
      continue;
    const auto at = static_cast<std::size_t>(found - l.inputs.begin());
    const auto record =
        std::find_if(stated.uncertainty.usual.inputs.begin(), stated.uncertainty.usual.inputs.end(),
                     [&](const auto& r) { return r.key == input.key; });
    const double sd = std::sqrt(l.covariance[at * l.inputs.size() + at]);
    LearntInput one;
    one.key = input.key;
    one.name = input.name;
    one.before = input.width;
    one.factor = record->spread == records::Spread::lognormal;
    one.dimension = record->dimension;
    one.middle = input.distribution.at_score(l.middle[at]);
    one.low = input.distribution.at_score(l.middle[at] - answers::normal_half_90 * sd);
    one.high = input.distribution.at_score(l.middle[at] + answers::normal_half_90 * sd);
    one.narrowed = sd;
    out.push_back(one);
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const LearntInput& a, const LearntInput& b) { return a.narrowed < b.narrowed; });
  return out;
}

std::string value_text(const LearntInput& input, double value) {
  if (input.factor)
    return formatted("%.2f times", value);
  if (input.dimension == "number" || input.dimension == "fraction")
    return formatted("%+.3g", value);
  // 0.2 K, 0.02 mm, 0.1 HRC are fine enough for anybody
  const std::string unit = input.dimension == "temperature_difference" ? " K"
                           : input.dimension == "hardness_HRC"         ? " HRC"
                           : input.dimension == "time"                 ? " s"
                                                                       : "";
  if (!unit.empty())
    return formatted("%+.1f", value) + unit;
  return (value < 0 ? "" : "+") + units::format_quantity(std::round(1e6 * value) / 1e6, input.dimension);
}

/// The case to show what was learnt on: the one named, else that of the journal's last blade.
std::optional<treatment::Case> case_shown(const Options& options, const fs::path& shop_file,
                                          const shop::Journal& journal) {
  if (!options.case_path.empty())
    return open_case(options, options.case_path, true, Learning::no).contents;
  for (auto entry = journal.entries.rbegin(); entry != journal.entries.rend(); ++entry)
    if (entry->kind == shop::Entry::Kind::firing)
      try {
        shop::Firing firing = shop::read_firing(journal, *entry);
        firing.to_oil_s.reset();
        firing.oil_before_degC.reset();
        return blade_of(options, shop_file, firing).made;
      } catch (const records::InputError&) {
        continue;
      }
  return {};
}

/// Which reading would narrow the figure most.
shop::Plan plan_of(const Options& options, const treatment::Case& stated, const shop::Belief& belief) {
  const InterruptWatch watch;
  ThreadPool pool(options.threads);
  treatment::Case c = stated;
  if (c.heated() && !c.furnace().timer_s)
    answers::set_timer_from_door(c, answers::careful_timer(c, &pool).careful_s);
  try {
    return shop::plan_next(c, belief, options.shop.bar, options.shop.next, pool,
                           [&](std::size_t) { return !watch.interrupted(); });
  } catch (const std::invalid_argument& error) {
    throw UsageError(std::string("--next: ") + error.what());
  }
}

std::string two_digits(double value) {
  return formatted(value < 1 ? "%.2g" : value < 9.95 ? "%.1f" : "%.0f", value);
}

/// "8.5 min" as the figure is told, of a half-width.
std::string half_width_text(const std::string& figure, double half) {
  for (const answers::Figure& f : answers::figures())
    if (f.meaning.name == figure) {
      const std::string unit = f.meaning.unit;
      if (unit == "s" && half >= 90)
        return formatted("%.1f min", half / 60);
      return two_digits(half) + (unit == "1" ? "" : " " + unit);
    }
  return two_digits(half);
}

void print_plan(const std::string& figure, const shop::Plan& plan) {
  std::cout << "\nNext reading, for " << figure << " (now +/- " << half_width_text(figure, plan.now) << ")\n";
  for (const shop::NextReading& r : plan.readings) {
    std::cout << "  " << padded(r.what, 66) << "to +/- " << half_width_text(figure, plan.now * r.left)
              << "\n";
    for (const std::string& line : output::folded(r.cost, 92))
      std::cout << "    " << line << "\n";
  }
}

void print_learnt(const std::vector<LearntInput>& inputs) {
  constexpr double worth_telling = 0.93; // of the width before
  std::cout << "\n  " << padded("", 52) << padded("before", 26) << "now, nine in ten\n";
  std::size_t left_out = 0;
  for (const LearntInput& input : inputs) {
    if (input.narrowed > worth_telling) {
      ++left_out;
      continue;
    }
    std::cout << "  " << padded(input.name, 52) << padded(input.before, 26) << value_text(input, input.low)
              << " to " << value_text(input, input.high) << "\n";
  }
  if (left_out > 0)
    std::cout << "  and " << left_out << " inputs of which next to nothing was learnt\n";
}

} // namespace

void shop_command(const Options& options) {
  const auto shop_file = find_shop(options, fs::path(options.case_path).parent_path());
  if (!shop_file)
    throw UsageError(
        "shop: there is no shop.toml here or in the configuration folder; `thinquench note --shop FILE` "
        "begins a journal");
  const shop::Journal journal = open_shop(*shop_file);
  shop::Belief belief = believed(options, *shop_file, journal);
  const auto shown = case_shown(options, *shop_file, journal);
  int coupons = 0;
  std::vector<LearntInput> inputs;
  if (shown) {
    belief = with_coupons(options, *shop_file, journal, *shown, belief, coupons);
    inputs = learnt_inputs(
        *shown, shop::as_learnt(*shown, belief, options.shop.bar, shop::rests_on(belief.blades, coupons)));
  }
  std::optional<shop::Plan> plan;
  if (!options.shop.next.empty()) {
    if (!shown)
      throw UsageError("shop: --next needs a case, or a blade in the journal");
    plan = plan_of(options, *shown, belief);
  }
  if (options.json) {
    Json next = Json::array();
    if (plan)
      for (const shop::NextReading& r : plan->readings)
        next.push_back({{"reading", r.what}, {"cost", r.cost}, {"half_width", plan->now * r.left}});
    Json rows = Json::array();
    for (const LearntInput& input : inputs)
      rows.push_back({{"input", input.key},
                      {"name", input.name},
                      {"before", input.before},
                      {"kind", input.factor ? "factor" : "difference"},
                      {"dimension", input.dimension},
                      {"middle", input.middle},
                      {"low", input.low},
                      {"high", input.high},
                      {"width_left", input.narrowed}});
    std::cout << output::json_text({{"schema", "thinquench-shop"},
                                    {"schema_version", 1},
                                    {"shop", journal.name},
                                    {"blades", journal.count(shop::Entry::Kind::firing)},
                                    {"learnt_from", belief.blades},
                                    {"coupons", journal.count(shop::Entry::Kind::coupon)},
                                    {"remarks", belief.remarks},
                                    {"learnt", rows},
                                    {"next", next}});
    return;
  }
  const auto counted = [&](shop::Entry::Kind kind, const char* what) {
    const std::size_t n = journal.count(kind);
    return std::to_string(n) + " " + what + (n == 1 ? "" : "s");
  };
  std::cout << (journal.name.empty() ? shop_file->string() : journal.name) << ": "
            << counted(shop::Entry::Kind::firing, "blade") << ", "
            << counted(shop::Entry::Kind::coupon, "coupon") << "\n";
  if (!inputs.empty()) {
    std::cout << "\nLearnt " << shop::rests_on(belief.blades, coupons)
              << "; differences from what the case states\n";
    print_learnt(inputs);
  }
  if (plan)
    print_plan(options.shop.next, *plan);
  if (!belief.remarks.empty())
    std::cout << "\nBlade by blade\n";
  for (const std::string& remark : belief.remarks)
    for (const std::string& text : output::folded(remark, 96))
      std::cout << "  " << text << "\n";
}

} // namespace tq::program
