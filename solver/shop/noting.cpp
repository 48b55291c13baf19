#include "shop/noting.hpp"

#include "units/quantity.hpp"

#include <cmath>
#include <stdexcept>
#include <string_view>

namespace tq::shop {

const std::vector<Asked>& asked_of_a_blade() {
  using Kind = Asked::Kind;
  static const std::vector<Asked> all = {
      {"blade", "--blade", "What is the blade called?", "Any name.", Kind::words},
      {"bar", "--bar", "Which bar of steel?", "Any name; blades of one bar correct each other.", Kind::words},
      {"seconds_to_oil", "--seconds", "Seconds from the furnace to the oil?",
       "Like \"3 s\"; none when nobody looked.", Kind::time},
      {"oil_before", "--oil-before", "Oil before?", "Like \"55 degC\".", Kind::temperature},
      {"oil_after", "--oil-after", "Oil after, stirred?", "It tells how much oil there really is.",
       Kind::temperature},
      {"file", "--file", "A new file at the edge, as quenched?", "skates, just skates or bites.", Kind::feel},
      {"quenched", "--quenched", "Hardness as quenched?", "Like \"spine 64 HRC, edge 65 HRC\".",
       Kind::places},
      {"tempered", "--tempered", "Hardness after the last temper?", "Like \"spine 61 HRC\".", Kind::places},
      {"packet_log", "--packet-log", "Log of a thermocouple in the packet?", "A CSV file.", Kind::log},
      {"quench_log", "--quench-log", "Log of a thermocouple on the blade through the oil?", "A CSV file.",
       Kind::log},
      {"oven_log", "--oven-log", "Log of a thermometer in the tempering oven?", "A CSV file.", Kind::log},
      {"bow", "--bow", "Bow after the quench?", "Like \"0.4 mm\".", Kind::length},
      {"remark", "--remark", "Anything else?", "One line.", Kind::words},
  };
  return all;
}

const std::vector<Asked>& asked_of_a_coupon() {
  using Kind = Asked::Kind;
  static const std::vector<Asked> all = {
      {"temper", "--temper", "Tempered at?",
       "As the oven was set. Set as for the blades it tells most of them.", Kind::temperature},
      {"hold", "--hold", "How long was one temper?", "Like \"2 h\"; usually one hour.", Kind::minutes},
      {"cycles", "--cycles", "How many tempers?", "Usually one.", Kind::count},
      {"hardness", "--read", "Hardness read?", "Like \"61 HRC\"; the mean of the dents.", Kind::hardness},
      {"dents", "--dents", "The mean of how many dents?",
       "Three are worth far more than one, which may be 1 HRC off.", Kind::count},
      {"block", "--block", "What is written on a test block?",
       "Read beside the coupon it tells what the tester reads too much.", Kind::hardness},
      {"block_read", "--block-read", "What did the tester read of the block?", "With as many dents.",
       Kind::hardness},
      {"block_within", "--block-within", "How exact is the block, by its certificate?",
       "Like \"0.3 HRC\"; without one 0.5 HRC is assumed, nine times in ten.", Kind::hardness},
      {"bar", "--bar", "Which bar of steel?", "Any name; blades of one bar correct each other.", Kind::words},
      {"remark", "--remark", "Anything else?", "One line.", Kind::words},
  };
  return all;
}

void note_down(Firing& f, const Asked& asked, const std::string& typed) {
  if (typed.empty())
    return;
  const std::string_view key = asked.key;
  if (key == "blade")
    f.blade = typed;
  else if (key == "bar")
    f.bar = typed;
  else if (key == "seconds_to_oil")
    f.to_oil_s = units::parse_quantity(typed, "time");
  else if (key == "oil_before")
    f.oil_before_degC = units::parse_quantity(typed, "temperature");
  else if (key == "oil_after")
    f.oil_after_degC = units::parse_quantity(typed, "temperature");
  else if (key == "file")
    f.file = read_file_feel(typed);
  else if (key == "quenched")
    f.quenched = read_places(typed, false);
  else if (key == "tempered")
    f.tempered.push_back(read_places(typed, true));
  else if (key == "packet_log")
    f.packet_log = typed;
  else if (key == "quench_log")
    f.quench_log = typed;
  else if (key == "oven_log")
    f.oven_log = typed;
  else if (key == "bow")
    f.bow_m = units::parse_quantity(typed, "length");
  else if (key == "remark")
    f.remark = typed;
  else
    throw std::logic_error("nothing is written down as " + std::string(key));
}

void note_down(Coupon& c, const Asked& asked, const std::string& typed) {
  if (typed.empty())
    return;
  const auto count = [&] {
    const double number = units::parse_number(typed);
    constexpr double most = 1000; // far more than any journal takes
    if (!(number >= 1 && number <= most) || number != std::floor(number))
      throw std::invalid_argument("'" + typed + "' is no whole number from 1 on");
    return static_cast<int>(number);
  };
  const std::string_view key = asked.key;
  if (key == "temper")
    c.temper_degC = units::parse_quantity(typed, "temperature");
  else if (key == "hold")
    c.hold_s = units::parse_quantity(typed, "time");
  else if (key == "cycles")
    c.cycles = count();
  else if (key == "hardness")
    c.hrc = units::parse_quantity(typed, "hardness_HRC");
  else if (key == "dents")
    c.dents = count();
  else if (key == "block")
    c.block_hrc = units::parse_quantity(typed, "hardness_HRC");
  else if (key == "block_read")
    c.block_read_hrc = units::parse_quantity(typed, "hardness_HRC");
  else if (key == "block_within")
    c.block_within_hrc = units::parse_quantity(typed, "hardness_HRC");
  else if (key == "bar")
    c.bar = typed;
  else if (key == "remark")
    c.remark = typed;
  else
    throw std::logic_error("nothing is written down as " + std::string(key));
}

} // namespace tq::shop
