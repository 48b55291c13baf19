// What was set and read of a blade or a coupon, into the journal of the shop.
#include "program/commands.hpp"
#include "program/interview.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/shop_file.hpp"
#include "program/values.hpp"
#include "records/read_log.hpp"
#include "shop/noting.hpp"
#include "treatment/case_reader.hpp"
#include "treatment/steel_questions.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <ctime>
#include <iostream>
#include <map>
#include <string_view>

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

/// Where the options of note keep what was typed as one of the questions.
std::string& typed_of(NoteOptions& read, std::string_view key) {
  static const std::map<std::string_view, std::string NoteOptions::*> all = {
      {"blade", &NoteOptions::blade},
      {"bar", &NoteOptions::bar},
      {"seconds_to_oil", &NoteOptions::seconds},
      {"oil_before", &NoteOptions::oil_before},
      {"oil_after", &NoteOptions::oil_after},
      {"file", &NoteOptions::file},
      {"quenched", &NoteOptions::quenched},
      {"packet_log", &NoteOptions::packet_log},
      {"quench_log", &NoteOptions::quench_log},
      {"oven_log", &NoteOptions::oven_log},
      {"bow", &NoteOptions::bow},
      {"remark", &NoteOptions::remark}};
  return read.*all.at(key);
}

/// Asks for what is usually known of a blade and puts it into the options.
void ask_for(NoteOptions& read, std::string& case_path, const fs::path& folder) {
  Interview person("note");
  const auto there = [&](const std::string& name) {
    std::error_code none;
    return fs::is_regular_file(name, none) || fs::is_regular_file(folder / name, none);
  };
  shop::Firing
      so_far; // what cannot be together with it is asked again, not lost with all the rest at the end
  const auto refused = [&](const shop::Asked& asked, const std::string& answer) -> std::string {
    if (answer == "none")
      return {};
    if (asked.kind == shop::Asked::Kind::log && !there(answer))
      return "there is no file '" + answer + "'";
    try {
      shop::Firing scratch = so_far;
      shop::note_down(scratch, asked, answer);
      const std::vector<std::string> wrong = shop::nonsense(scratch);
      return wrong.empty() ? "" : wrong.front();
    } catch (const std::invalid_argument& error) {
      return error.what();
    }
  };
  if (case_path.empty())
    case_path =
        person.ask("Which case was it made by?", "The case file (.toml).", "", [&](const std::string& name) {
          return there(name) ? std::string() : "there is no file '" + name + "'";
        });
  so_far.case_path = case_path;
  for (const shop::Asked& asked : shop::asked_of_a_blade()) {
    const std::string answer = person.ask(asked.asks, asked.why, "none",
                                          [&](const std::string& typed) { return refused(asked, typed); });
    if (answer == "none")
      continue;
    shop::note_down(so_far, asked, answer);
    if (std::string_view(asked.key) == "tempered")
      read.tempered = {answer};
    else
      typed_of(read, asked.key) = answer;
  }
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

shop::Firing firing_of(NoteOptions& read, const Options& options, const fs::path& shop_file) {
  shop::Firing f;
  f.date = read.date.empty() ? today() : read.date;
  expect_named(options.case_path, ".toml"); // else it is not read again
  f.case_path = path_from_shop(shop_file, options.case_path);
  f.station = read.station;
  f.ground = read.ground;
  for (const std::string& each : options.settings)
    f.set.push_back(by_option("--set", each, shop::read_setting));
  for (const shop::Asked& asked : shop::asked_of_a_blade()) {
    const bool log = asked.kind == shop::Asked::Kind::log;
    const std::vector<std::string> typed =
        std::string_view(asked.key) == "tempered" ? read.tempered : std::vector{typed_of(read, asked.key)};
    for (const std::string& each : typed) {
      if (log)
        read_log_file(asked.option, each);
      by_option(asked.option, log && !each.empty() ? path_from_shop(shop_file, each) : each,
                [&](const std::string& text) { shop::note_down(f, asked, text); });
    }
  }
  if (!options.shop.bar.empty())
    f.bar = options.shop.bar;
  read_log_file("--coupon-log", read.coupon_log);
  if (!read.coupon_log.empty())
    f.coupon_log = path_from_shop(shop_file, read.coupon_log);
  f.coupon_m = quantity("--coupon-thickness", read.coupon_thickness, "length");
  f.coupon_hrc = quantity("--coupon-quenched", read.coupon_quenched, "hardness_HRC");
  return f;
}

/// Asks for what is known of a coupon.
void ask_for(shop::Coupon& coupon) {
  Interview person("note");
  for (const shop::Asked& asked : shop::asked_of_a_coupon()) {
    const std::string_view key = asked.key;
    const bool needed = key == "temper" || key == "hardness";
    if (key == "bar" && !coupon.bar.empty())
      continue;
    const std::string answer =
        person.ask(asked.asks, asked.why, needed ? "" : "none", [&](std::string& typed) -> std::string {
          if (typed == "none")
            return needed ? "an answer is needed" : "";
          try {
            shop::Coupon scratch;
            shop::note_down(scratch, asked, typed);
          } catch (const std::invalid_argument& error) {
            return error.what();
          }
          return "";
        });
    if (answer != "none")
      shop::note_down(coupon, asked, answer);
  }
}

shop::Coupon coupon_of(const NoteOptions& read, const Options& options) {
  shop::Coupon c;
  c.date = read.date.empty() ? today() : read.date;
  c.steel = read.coupon;
  c.bar = options.shop.bar;
  const bool says = !read.temper.empty() || !read.read.empty() || !read.hold.empty() || !read.block.empty() ||
                    !read.block_read.empty() || !read.block_within.empty() || !read.harden.empty() ||
                    !read.soak.empty() || !read.remark.empty() || read.cycles != 1 || read.dents != 1;
  if (!says) {
    ask_for(c);
    return c;
  }
  if (read.temper.empty() || read.read.empty())
    throw UsageError("note: --coupon needs --temper and --read, like --temper '205 degC' --read '61 HRC'");
  c.temper_degC = value_of("--temper", read.temper, "temperature");
  if (!read.hold.empty())
    c.hold_s = value_of("--hold", read.hold, "time");
  c.cycles = read.cycles;
  c.hrc = value_of("--read", read.read, "hardness_HRC");
  c.dents = read.dents;
  c.block_hrc = quantity("--block", read.block, "hardness_HRC");
  c.block_read_hrc = quantity("--block-read", read.block_read, "hardness_HRC");
  c.block_within_hrc = quantity("--block-within", read.block_within, "hardness_HRC");
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
    throw UsageError("--tempered: the readings are of more tempers (" +
                     std::to_string(firing.tempered.size()) + ") than the case has (" +
                     std::to_string(tempers) + ")");
}

void refuse(const std::vector<std::string>& wrong) {
  if (!wrong.empty())
    throw UsageError("note: " + wrong.front());
}

/// An entry that the journal could not be read with is none.
void require_readable(const std::string& entry) {
  const shop::Journal alone = shop::read_journal(shop::new_journal("a shop") + entry, "note");
  const shop::Entry& read = alone.entries.back();
  try {
    if (read.kind == shop::Entry::Kind::firing)
      (void)shop::read_firing(alone, read);
    else
      (void)shop::read_coupon(alone, read);
  } catch (const records::InputError& error) {
    // "note:30: firing[1].seconds_to_oil: ...": nobody sees that line
    const std::string text = error.what();
    const std::size_t key = text.find('.', text.find('['));
    throw UsageError("note: " + (key == std::string::npos ? text : text.substr(key + 1)));
  }
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
    const MaterialLibrary library(find_materials(options.materials), found->parent_path());
    treatment::SubjectReader(library).read(read.coupon);
    const shop::Coupon coupon = coupon_of(read, options);
    refuse(nonsense(coupon));
    entry = entry_text(coupon);
    what = "coupon of " + coupon.steel;
  } else {
    const bool says =
        !read.seconds.empty() || !read.oil_before.empty() || !read.oil_after.empty() || !read.file.empty() ||
        !read.quenched.empty() || !read.tempered.empty() || !read.packet_log.empty() ||
        !read.quench_log.empty() || !read.coupon_thickness.empty() || !read.coupon_quenched.empty() ||
        !read.coupon_log.empty() || !read.oven_log.empty() || !read.bow.empty() || !read.remark.empty();
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
  require_readable(entry);
  append_entry(*found, entry);
  if (!options.quiet)
    std::cout << (fresh ? "Begun and written into " : "Written into ") << found->string() << ": " << what
              << "\n";
}

} // namespace tq::program
