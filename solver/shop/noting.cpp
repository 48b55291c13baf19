#include "shop/noting.hpp"

#include "units/quantity.hpp"

#include <cmath>
#include <optional>
#include <stdexcept>
#include <string_view>
#include <variant>

namespace tq::shop {
namespace {

using Kind = Asked::Kind;
using Places = std::vector<answers::HardnessReading>;

const char* dimension(Kind kind) {
  return kind == Kind::temperature ? "temperature"
         : kind == Kind::length    ? "length"
         : kind == Kind::hardness  ? "hardness_HRC"
                                   : "time";
}

void put(std::string& to, Kind, const std::string& typed) { to = typed; }
void put(double& to, Kind kind, const std::string& typed) {
  to = units::parse_quantity(typed, dimension(kind));
}
void put(std::optional<double>& to, Kind kind, const std::string& typed) { put(to.emplace(), kind, typed); }
void put(int& to, Kind, const std::string& typed) {
  const double number = units::parse_number(typed);
  constexpr double most = 1000; // far more than any journal takes
  if (!(number >= 1 && number <= most) || number != std::floor(number))
    throw std::invalid_argument("'" + typed + "' is no whole number from 1 on");
  to = static_cast<int>(number);
}
void put(std::optional<steel::FileFeel>& to, Kind, const std::string& typed) { to = read_file_feel(typed); }
void put(Places& to, Kind, const std::string& typed) { to = read_places(typed, false); }
void put(std::vector<Places>& to, Kind, const std::string& typed) { to.push_back(read_places(typed, true)); }

template <class Entry>
using Member =
    std::variant<std::string Entry::*, double Entry::*, std::optional<double> Entry::*, int Entry::*,
                 std::optional<steel::FileFeel> Entry::*, Places Entry::*, std::vector<Places> Entry::*>;
/// A question and where its answer goes.
template <class Entry>
struct Question {
  Asked asked;
  Member<Entry> answer;
};

const std::vector<Question<Firing>>& questions(const Firing&) {
  static const std::vector<Question<Firing>> all = {
      {{"blade", "--blade", "What is the blade called?", "Any name.", Kind::words}, &Firing::blade},
      {{"bar", "--bar", "Which bar of steel?", "Any name; blades of one bar correct each other.",
        Kind::words},
       &Firing::bar},
      {{"seconds_to_oil", "--seconds", "Seconds from the furnace to the oil?",
        "Like \"3 s\"; none when nobody looked.", Kind::time},
       &Firing::to_oil_s},
      {{"oil_before", "--oil-before", "Oil before?", "Like \"55 degC\".", Kind::temperature},
       &Firing::oil_before_degC},
      {{"oil_after", "--oil-after", "Oil after, stirred?", "It tells how much oil there really is.",
        Kind::temperature},
       &Firing::oil_after_degC},
      {{"file", "--file", "A new file at the edge, as quenched?", "skates, just skates or bites.",
        Kind::feel},
       &Firing::file},
      {{"quenched", "--quenched", "Hardness as quenched?", "Like \"spine 64 HRC, edge 65 HRC\".",
        Kind::places},
       &Firing::quenched},
      {{"tempered", "--tempered", "Hardness after the last temper?", "Like \"spine 61 HRC\".", Kind::places},
       &Firing::tempered},
      {{"packet_log", "--packet-log", "Log of a thermocouple in the packet?", "A CSV file.", Kind::log},
       &Firing::packet_log},
      {{"quench_log", "--quench-log", "Log of a thermocouple on the blade through the oil?", "A CSV file.",
        Kind::log},
       &Firing::quench_log},
      {{"oven_log", "--oven-log", "Log of a thermometer in the tempering oven?", "A CSV file.", Kind::log},
       &Firing::oven_log},
      {{"bow", "--bow", "Bow after the quench?", "Like \"0.4 mm\".", Kind::length}, &Firing::bow_m},
      {{"remark", "--remark", "Anything else?", "One line.", Kind::words}, &Firing::remark},
  };
  return all;
}

const std::vector<Question<Coupon>>& questions(const Coupon&) {
  static const std::vector<Question<Coupon>> all = {
      {{"temper", "--temper", "Tempered at?",
        "As the oven was set. Set as for the blades it tells most of them.", Kind::temperature},
       &Coupon::temper_degC},
      {{"hold", "--hold", "How long was one temper?", "Like \"2 h\"; usually one hour.", Kind::minutes},
       &Coupon::hold_s},
      {{"cycles", "--cycles", "How many tempers?", "Usually one.", Kind::count}, &Coupon::cycles},
      {{"hardness", "--read", "Hardness read?", "Like \"61 HRC\"; the mean of the dents.", Kind::hardness},
       &Coupon::hrc},
      {{"dents", "--dents", "The mean of how many dents?",
        "Three are worth far more than one, which may be 1 HRC off.", Kind::count},
       &Coupon::dents},
      {{"block", "--block", "What is written on a test block?",
        "Read beside the coupon it tells what the tester reads too much.", Kind::hardness},
       &Coupon::block_hrc},
      {{"block_read", "--block-read", "What did the tester read of the block?", "With as many dents.",
        Kind::hardness},
       &Coupon::block_read_hrc},
      {{"block_within", "--block-within", "How exact is the block, by its certificate?",
        "Like \"0.3 HRC\"; without one 0.5 HRC is assumed, nine times in ten.", Kind::hardness},
       &Coupon::block_within_hrc},
      {{"bar", "--bar", "Which bar of steel?", "Any name; blades of one bar correct each other.",
        Kind::words},
       &Coupon::bar},
      {{"remark", "--remark", "Anything else?", "One line.", Kind::words}, &Coupon::remark},
  };
  return all;
}

template <class Entry>
const std::vector<Asked>& asked_of_an_entry() {
  static const std::vector<Asked> all = [] {
    std::vector<Asked> out;
    for (const Question<Entry>& each : questions(Entry{}))
      out.push_back(each.asked);
    return out;
  }();
  return all;
}

template <class Entry>
void put_down(Entry& entry, const Asked& asked, const std::string& typed) {
  for (const Question<Entry>& each : questions(entry))
    if (!typed.empty() && std::string_view(asked.key) == each.asked.key)
      std::visit([&](auto member) { put(entry.*member, asked.kind, typed); }, each.answer);
}

} // namespace

const std::vector<Asked>& asked_of_a_blade() { return asked_of_an_entry<Firing>(); }
const std::vector<Asked>& asked_of_a_coupon() { return asked_of_an_entry<Coupon>(); }
void note_down(Firing& firing, const Asked& asked, const std::string& typed) {
  put_down(firing, asked, typed);
}
void note_down(Coupon& coupon, const Asked& asked, const std::string& typed) {
  put_down(coupon, asked, typed);
}

} // namespace tq::shop
