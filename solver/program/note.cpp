// What was set and read of a blade or a coupon, into the journal of the shop.
#include "program/commands.hpp"
#include "program/interview.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/questions.hpp"
#include "program/shop_file.hpp"
#include "program/values.hpp"
#include "records/read_log.hpp"
#include "treatment/case_reader.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <ctime>
#include <iostream>

namespace tq::program {
namespace {

namespace fs = std::filesystem;

std::string today() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  ::localtime_r(&now, &parts);
  std::string day(10, ' ');
  std::strftime(day.data(), day.size() + 1, "%Y-%m-%d", &parts);
  return day;
}

std::optional<double> quantity(const char* option, const std::string& text, const char* dimension) {
  if (text.empty())
    return {};
  return value_of(option, text, dimension);
}

/// "none", or what `read` takes without complaint.
template <class Read>
Check none_or(const Read& read) {
  return [read](std::string& answer) -> std::string {
    if (answer == "none")
      return {};
    try {
      read(answer);
      return {};
    } catch (const std::exception& error) {
      return error.what();
    }
  };
}

/// Asks for what is usually known of a blade and puts it into the options.
void ask_for(NoteOptions& read, std::string& case_path, const fs::path& folder) {
  Interview person("note");
  const auto take = [&](std::string& to, const char* question, const char* why, const Check& check) {
    const std::string answer = person.ask(question, why, "none", check);
    to = answer == "none" ? "" : answer;
  };
  const auto file_there = none_or([&](const std::string& name) {
    std::error_code none;
    if (!fs::is_regular_file(name, none) && !fs::is_regular_file(folder / name, none))
      throw std::invalid_argument("there is no file '" + name + "'");
  });
  const auto of = [&](const char* dimension) {
    return none_or([dimension](const std::string& text) { units::parse_quantity(text, dimension); });
  };
  const auto readings = none_or([](const std::string& text) { shop::read_places(text, false); });
  if (case_path.empty())
    case_path = person.ask("Which case was it made by?", "The case file (.toml).", "", file_there);
  take(read.blade, "What is the blade called?", "Any name.", none_or([](const std::string&) {}));
  take(read.bar, "Which bar of steel?", "Any name; blades of one bar correct each other.",
       none_or([](const std::string&) {}));
  take(read.seconds, "Seconds from the furnace to the oil?", "Like \"3 s\"; none when nobody looked.",
       of("time"));
  take(read.oil_before, "Oil before?", "Like \"55 degC\".", of("temperature"));
  take(read.oil_after, "Oil after, stirred?", "It tells how much oil there really is.", of("temperature"));
  take(read.file, "A new file at the edge, as quenched?", "skates, just skates or bites.",
       none_or([](const std::string& text) { shop::read_file_feel(text); }));
  take(read.quenched, "Hardness as quenched?", "Like \"spine 64 HRC, edge 65 HRC\".", readings);
  std::string tempered;
  take(tempered, "Hardness after the last temper?", "Like \"spine 61 HRC\".", readings);
  if (!tempered.empty())
    read.tempered = {tempered};
  take(read.packet_log, "Log of a thermocouple in the packet?", "A CSV file.", file_there);
  take(read.oven_log, "Log of a thermometer in the tempering oven?", "A CSV file.", file_there);
  take(read.bow, "Bow after the quench?", "Like \"0.4 mm\".", of("length"));
  take(read.remark, "Anything else?", "One line.", none_or([](const std::string&) {}));
}

void read_log_file(const char* option, const std::string& path) {
  if (path.empty())
    return;
  try {
    records::read_log(read_case_text(path), path);
  } catch (const records::InputError& error) {
    throw UsageError(std::string(option) + ": " + error.what());
  }
}

shop::Firing firing_of(const NoteOptions& read, const Options& options, const fs::path& shop_file) {
  shop::Firing f;
  f.date = read.date.empty() ? today() : read.date;
  f.blade = read.blade;
  f.case_path = path_from_shop(shop_file, options.case_path);
  f.bar = options.shop.bar.empty() ? read.bar : options.shop.bar;
  f.station = read.station;
  for (const std::string& each : options.settings)
    f.set.push_back(by_option("--set", each, shop::read_setting));
  f.to_oil_s = quantity("--seconds", read.seconds, "time");
  f.oil_before_degC = quantity("--oil-before", read.oil_before, "temperature");
  f.oil_after_degC = quantity("--oil-after", read.oil_after, "temperature");
  if (!read.file.empty())
    f.file = by_option("--file", read.file, [](const std::string& t) { return shop::read_file_feel(t); });
  f.ground = read.ground;
  if (!read.quenched.empty())
    f.quenched = by_option("--quenched", read.quenched,
                           [](const std::string& t) { return shop::read_places(t, false); });
  for (const std::string& each : read.tempered)
    f.tempered.push_back(
        by_option("--tempered", each, [](const std::string& t) { return shop::read_places(t, true); }));
  const auto log = [&](const char* option, const std::string& path) {
    read_log_file(option, path);
    return path.empty() ? std::string() : path_from_shop(shop_file, path);
  };
  f.packet_log = log("--packet-log", read.packet_log);
  f.coupon_log = log("--coupon-log", read.coupon_log);
  f.oven_log = log("--oven-log", read.oven_log);
  f.bow_m = quantity("--bow", read.bow, "length");
  f.remark = read.remark;
  return f;
}

shop::Coupon coupon_of(const NoteOptions& read, const Options& options) {
  shop::Coupon c;
  c.date = read.date.empty() ? today() : read.date;
  c.steel = read.coupon;
  c.bar = options.shop.bar;
  if (read.temper.empty() || read.read.empty())
    throw UsageError("note: --coupon needs --temper and --read, like --temper '205 degC' --read '61 HRC'");
  c.temper_degC = value_of("--temper", read.temper, "temperature");
  if (!read.hold.empty())
    c.hold_s = value_of("--hold", read.hold, "time");
  c.cycles = read.cycles;
  c.hrc = value_of("--read", read.read, "hardness_HRC");
  c.harden_degC = quantity("--harden", read.harden, "temperature");
  c.soak_s = quantity("--soak", read.soak, "time");
  c.remark = read.remark;
  return c;
}

/// The case as it was made must be one that can be read.
void require_case(const Options& options, const shop::Firing& firing, const fs::path& shop_file) {
  Options as_made = options;
  as_made.shop.file = shop_file;
  std::error_code none;
  as_made.shop.none = !fs::exists(shop_file, none);
  if (as_made.shop.none)
    as_made.shop.file.reset();
  const OpenedCase opened = open_case(as_made, options.case_path, true, Learning::no);
  const auto& stations = opened.contents.blade.stations;
  if (!firing.station.empty() &&
      std::none_of(stations.begin(), stations.end(), [&](const auto& s) { return s.name == firing.station; }))
    throw UsageError("--station: the case has none called '" + firing.station + "'");
  const auto tempers = static_cast<std::size_t>(opened.contents.tempers());
  if (firing.tempered.size() > tempers)
    throw UsageError("--tempered: readings after " + std::to_string(firing.tempered.size()) +
                     " tempers, but the case has " + std::to_string(tempers));
}

void refuse(const std::vector<std::string>& wrong) {
  if (!wrong.empty())
    throw UsageError("note: " + wrong.front());
}

} // namespace

void note(const Options& given) {
  Options options = given;
  NoteOptions& read = options.note;
  const fs::path beside = fs::path(options.case_path).parent_path();
  if (options.shop.none)
    throw UsageError("note: --no-shop leaves nothing to write into");
  const auto found = find_shop(options, beside, true);
  if (!found)
    throw UsageError(
        "note: there is no shop.toml beside the case or in the configuration folder; --shop FILE "
        "begins a journal");
  const bool fresh = [&] {
    std::error_code none;
    return !fs::exists(*found, none);
  }();
  std::string entry, what;
  if (!read.coupon.empty()) {
    if (!options.case_path.empty())
      throw UsageError("note: a case or --coupon, not both");
    const shop::Coupon coupon = coupon_of(read, options);
    refuse(nonsense(coupon));
    SubjectReader(find_materials(options.materials), found->parent_path()).read(coupon.steel);
    entry = entry_text(coupon);
    what = "coupon of " + coupon.steel;
  } else {
    const bool says = !read.seconds.empty() || !read.oil_before.empty() || !read.oil_after.empty() ||
                      !read.file.empty() || !read.quenched.empty() || !read.tempered.empty() ||
                      !read.packet_log.empty() || !read.coupon_log.empty() || !read.oven_log.empty() ||
                      !read.bow.empty() || !read.remark.empty();
    if (!says)
      ask_for(read, options.case_path, beside);
    if (options.case_path.empty())
      throw UsageError("note: the case that the blade was made by is missing, or --coupon");
    const shop::Firing firing = firing_of(read, options, *found);
    refuse(nonsense(firing));
    require_case(options, firing, *found);
    entry = entry_text(firing);
    what = firing.blade.empty() ? "blade of " + options.case_path : firing.blade;
  }
  append_entry(*found, entry);
  if (!options.quiet)
    std::cout << (fresh ? "Begun and written into " : "Written into ") << found->string() << ": " << what
              << "\n";
}

} // namespace tq::program
