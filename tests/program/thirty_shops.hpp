// Thirty cases for tests that hold every output against every other: the shipped ones and as many of own
// invention, as variations of them.
#pragma once

#include <ostream>
#include <string>
#include <vector>

namespace tq::test {

struct Shop {
  const char* name;
  const char* base;              ///< stem of a shipped case
  std::vector<std::string> sets; ///< key=value each
  const char* question;          ///< of find, asked and fed back
};

inline std::ostream& operator<<(std::ostream& out, const Shop& shop) { return out << shop.name; }

inline const std::vector<Shop>& thirty_shops() {
  static const std::vector<Shop> all = {
      {"clay", "clay_w2_water_then_oil", {}, "timer"},
      {"hunter", "drop_point_o1", {}, "setpoint"},
      {"edge_only", "edge_only_1084", {}, "out"},
      {"field_knife", "field_knife_80crv2", {}, "temper"},
      {"hardened_again", "hardened_again_o1", {}, "lift"},
      {"hot_bath", "hot_bath_80crv2", {}, "timer"},
      {"interrupted", "interrupted_o1", {}, "interrupt"},
      {"logged", "logged_5160", {}, "transfer"},
      {"normalised", "normalised_1095", {}, "transfer"},
      {"petty", "petty_1084_vegetable", {}, "spine"},
      {"plates", "plates_o2", {}, "transfer"},
      {"slicer", "slicer_52100_foil_on", {}, "foil-gap"},
      {"snap_cold", "snap_cold_52100", {}, "cool-to"},
      {"tapered_bar", "tapered_bar_quench", {}, ""},
      {"two_blades", "two_blades_1084", {}, "oil-volume"},
      // own invention
      {"thick_in_kitchen_oil",
       "drop_point_o1",
       {"blade.station.1.spine='5 mm'", "bath.coolant='vegetable-oil'"},
       "transfer"},
      {"slow_walk_1095", "drop_point_o1", {"blade.steel='1095'", "transfer.time='6 s'"}, "transfer"},
      {"water", "petty_1084_vegetable", {"bath.coolant='water'", "bath.temperature='20 degC'"}, "timer"},
      {"near_flash", "drop_point_o1", {"bath.temperature='150 degC'"}, "oil-temperature"},
      {"thin_edge", "drop_point_o1", {"blade.station.1.edge='0.2 mm'"}, "edge"},
      {"one_sided", "drop_point_o1", {"blade.station.1.grind='one-sided'", "blade.length='240 mm'"}, "lift"},
      {"spring", "drop_point_o1", {"temper.oven='300 degC'", "wish.hardness=['56 HRC', '59 HRC']"}, "temper"},
      {"cold_furnace", "drop_point_o1", {"furnace.setpoint='755 degC'"}, "setpoint"},
      {"overheated", "drop_point_o1", {"furnace.setpoint='850 degC'", "furnace.timer='40 min'"}, "out"},
      {"cold_oil", "petty_1084_vegetable", {"bath.temperature='20 degC'"}, "oil-temperature"},
      {"tight_packet", "slicer_52100_foil_on", {"wrap.gap='20 um'"}, "temper"},
      {"row", "drop_point_o1", {"bath.blades=4", "bath.interval='2 min'", "bath.volume='4 L'"}, "oil-volume"},
      {"fast_oil", "field_knife_80crv2", {"bath.coolant='fast-oil'"}, "transfer"},
      {"old_oil", "petty_1084_vegetable", {"bath.state='old'"}, "timer"},
      {"soft_spine", "normalised_1095", {"wish.soft_spine=true"}, "edge"},
      {"thin_1084",
       "petty_1084_vegetable",
       {"blade.station.1.spine='1.6 mm'", "bath.coolant='fast-oil'"},
       "spine"},
      {"ball_bearing", "drop_point_o1", {"blade.steel='52100'", "furnace.setpoint='840 degC'"}, "cool-to"},
  };
  return all;
}

} // namespace tq::test
