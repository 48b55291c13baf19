#include "answers/faults.hpp"

#include "answers/when.hpp"

#include <algorithm>
#include <stdexcept>

namespace tq::answers {
namespace {

using treatment::Case;
using treatment::Part;

bool always(const Case&) { return true; }
void nothing(Case&, double) {}

constexpr double least_share_of_carbon = 0.5; ///< a bar may be off, it does not become iron

} // namespace

const std::vector<FaultKind>& fault_kinds() {
  static const std::vector<FaultKind> all = {
      {"cold_furnace", true, Part::furnace, false, heated,
       [](Case& c, double K) { c.furnace().reading_offset_K -= K; }},
      {"hot_furnace", true, Part::furnace, false, heated,
       [](Case& c, double K) { c.furnace().reading_offset_K += K; }},
      {"short_soak", false, Part::furnace, false, heated,
       [](Case& c, double missing) {
         if (c.furnace().timer_s)
           *c.furnace().timer_s *= 1 - missing;
       }},
      {"slow_transfer", false, Part::transfer, false,
       [](const Case& c) { return c.carried() && c.quenched(); },
       [](Case& c, double s) { c.transfer().time_s += s; }},
      {"slow_oil", true, Part::bath, false,
       [](const Case& c) {
         return c.quenched() && (c.bath().fixed_htc_W_m2K > 0 || !c.bath().coolant.htc_W_m2K.empty());
       },
       [](Case& c, double factor) {
         c.bath().fixed_htc_W_m2K /= factor;
         for (double& h : c.bath().coolant.htc_W_m2K.y)
           h /= factor;
       }},
      {"wide_foil", false, Part::furnace, false,
       [](const Case& c) { return c.wrap.layers > 0 && c.wrap.on_in_oil; },
       [](Case& c, double factor) {
         for (double& gap : c.wrap.gap_m)
           gap *= factor;
       }},
      {"hot_oven", true, Part::temper, false, [](const Case& c) { return c.tempered(); },
       [](Case& c, double K) { c.for_each_oven([K](treatment::Oven& o) { o.oven_degC += K; }); }},
      {"low_carbon", true, Part::furnace, false, always,
       [](Case& c, double less) {
         double& C = c.steel.composition.C;
         C = std::max(least_share_of_carbon * C, C - less);
       }},
      {"soft_skin", false, Part::temper, true, always, nothing},
      {"bad_place", false, Part::temper, true, always, nothing},
  };
  return all;
}

const FaultKind& fault_kind(const std::string& key) {
  for (const FaultKind& k : fault_kinds())
    if (key == k.key)
      return k;
  throw std::logic_error("no such fault: " + key);
}

bool exclude_each_other(const std::string& a, const std::string& b) {
  return (a == "cold_furnace" && b == "hot_furnace") || (a == "hot_furnace" && b == "cold_furnace");
}

} // namespace tq::answers
