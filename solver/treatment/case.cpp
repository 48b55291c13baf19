#include "treatment/case.hpp"

#include <algorithm>
#include <array>

namespace tq::treatment {

const char* stage_name(Stage stage) {
  switch (stage) {
  case Stage::furnace:
    return "furnace";
  case Stage::transfer:
    return "transfer";
  case Stage::bath:
    return "bath";
  case Stage::cool:
    return "cool";
  case Stage::temper:
    return "temper";
  }
  return "";
}

const char* kind_name(const Step& step) {
  constexpr std::array<const char*, 5> names = {"furnace", "air", "bath", "cold", "oven"};
  const Bath* bath = step.as<Bath>();
  return bath && bath->plates ? "plates" : names[step.kind.index()];
}

std::vector<Step> usual_steps(const Case& c) {
  std::vector<Step> steps;
  const bool wrapped = c.wrap.layers > 0, to_the_end = wrapped && c.wrap.on_in_oil, coat = c.coat.has_value();
  constexpr double near_K = 0.2; ///< hotter than the air by this counts as cold
  const auto in_air = [&](Bath bath) {
    bath.air_degC = c.transfer.air_degC;
    bath.air_convection_W_m2K = c.transfer.convection_W_m2K;
    return bath;
  };
  for (const Stage stage : c.stages)
    switch (stage) {
    case Stage::furnace:
      steps.push_back({"furnace", c.furnace, wrapped, coat});
      break;
    case Stage::transfer:
      steps.push_back({"transfer",
                       Air{c.transfer.air_degC, c.transfer.convection_W_m2K, c.transfer.time_s, {}},
                       to_the_end || (wrapped && c.transfer.in_foil), coat});
      break;
    case Stage::bath:
      steps.push_back({"bath", in_air(c.bath), to_the_end, coat});
      if (!c.second_bath)
        break;
      if (c.second_bath->move_s > 0)
        steps.push_back({"to the second bath",
                         Air{c.transfer.air_degC, c.transfer.convection_W_m2K, c.second_bath->move_s, {}},
                         to_the_end, coat});
      steps.push_back({"second bath", in_air(*c.second_bath), to_the_end, coat});
      break;
    case Stage::cool: {
      const Cool& k = c.cool;
      Air air{k.air_degC, k.convection_W_m2K, longest_cooling_s,
              std::max(k.lowest_degC, k.air_degC + near_K)};
      steps.push_back({"cool", air, to_the_end, false}); // clay comes off with the quench
      if (k.lowest_degC < k.air_degC - near_K)
        steps.push_back(
            {"cold", Cold{k.lowest_degC, k.air_degC, k.convection_W_m2K, k.wait_s, 0}, to_the_end, false});
      break;
    }
    case Stage::temper:
      for (int i = 1; i <= c.temper.count; ++i)
        steps.push_back({c.temper.count > 1 ? "temper " + std::to_string(i) : "temper",
                         static_cast<const Oven&>(c.temper), false, false});
      break;
    }
  return steps;
}

bool Case::has(Stage stage) const { return std::find(stages.begin(), stages.end(), stage) != stages.end(); }

} // namespace tq::treatment
