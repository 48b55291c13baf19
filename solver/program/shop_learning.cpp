#include "program/shop_learning.hpp"

#include "output/files/files.hpp"
#include "program/interrupt.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/progress.hpp"
#include "program/shop_file.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "records/read_log.hpp"
#include "shop/learning.hpp"
#include "shop/piece.hpp"

#include <fstream>
#include <iostream>
#include <iterator>

namespace tq::program {
namespace {

namespace fs = std::filesystem;
using shop::Belief;
using shop::Entry;

fs::path kept_beside(const fs::path& shop_file) { return fs::path(shop_file.string() + ".learnt"); }

Belief kept(const fs::path& shop_file) {
  std::error_code none;
  std::ifstream in;
  if (fs::is_regular_file(kept_beside(shop_file), none)) // a FIFO would be waited for
    in.open(kept_beside(shop_file), std::ios::binary);
  if (!in.is_open())
    return {};
  return shop::read_belief(std::string(std::istreambuf_iterator<char>(in), {}), shop::belief_of);
}

void keep(const fs::path& shop_file, const Belief& belief) {
  try {
    output::PendingFile pending(kept_beside(shop_file));
    pending.write(shop::belief_text(belief, shop::belief_of));
    pending.commit();
  } catch (const output::WriteError&) {
    // it is learnt again next time
  }
}

std::optional<records::LogRecord> log_of(const fs::path& shop_file, const std::string& path) {
  if (path.empty())
    return {};
  const std::string file = path_of_shop(shop_file, path).string();
  expect_named(file, ".csv");
  return records::read_log(read_case_text(file), file);
}

} // namespace

shop::Blade blade_of(const Options& given, const fs::path& shop_file, const shop::Firing& firing) {
  Options options = given;
  options.shop.file = shop_file;
  options.shop.none = false;
  options.settings.clear();
  for (const records::Setting& setting : firing.set)
    options.settings.push_back(setting.path + "=" + setting.value);
  const std::string case_file = path_of_shop(shop_file, firing.case_path).string();
  expect_named(case_file, ".toml");
  const OpenedCase opened = open_case(options, case_file, true, Learning::no);
  return shop::blade_of(opened.contents, firing,
                        [&](const std::string& path) { return log_of(shop_file, path); });
}

Belief believed(const Options& options, const fs::path& shop_file, const shop::Journal& journal) {
  Belief belief = kept(shop_file);
  if (const auto fresh = shop::unknown_firings(journal, belief); fresh && fresh->empty())
    return belief;
  const InterruptWatch watch;
  ThreadPool pool(options.threads);
  ProgressLine line(options.quiet || !is_terminal(Stream::err) ? ProgressLine::Style::none
                                                               : ProgressLine::Style::redrawn);
  bool learnt = false;
  shop::Teacher teacher{[&](const shop::Firing& firing) { return blade_of(options, shop_file, firing); },
                        pool,
                        [&](double share) {
                          line.show(share, "learning from the shop's journal");
                          return !watch.interrupted();
                        },
                        [&](const Entry&, const std::string& why) {
                          line.wipe();
                          std::cerr << "thinquench: not learnt from: " << one_line(why) << "\n";
                        },
                        [&](const Belief&) { learnt = true; }};
  belief = shop::believed(journal, std::move(belief), teacher);
  if (learnt)
    keep(shop_file, belief);
  return belief;
}

std::vector<shop::CouponReading> coupon_readings(const Options& options, const fs::path& shop_file,
                                                 const shop::Journal& journal, const std::string& steel,
                                                 const std::string& bar) {
  if (journal.count(Entry::Kind::coupon) == 0)
    return {};
  const MaterialLibrary library(find_materials(options.materials), shop_file.parent_path());
  treatment::SubjectReader reader(library);
  return shop::coupon_readings(journal, reader, steel, bar);
}

Belief with_coupons(const Options& options, const fs::path& shop_file, const shop::Journal& journal,
                    const treatment::Case& c, Belief belief, int& coupons) {
  const auto readings = coupon_readings(options, shop_file, journal, c.steel.key, options.shop.bar);
  coupons = static_cast<int>(readings.size());
  shop::hold_coupons(belief, c, options.shop.bar, readings);
  return belief;
}

treatment::Case in_shop(const Options& options, const fs::path& shop_file, const shop::Journal& journal,
                        const treatment::Case& c) {
  return shop::in_shop(c, believed(options, shop_file, journal), options.shop.bar,
                       coupon_readings(options, shop_file, journal, c.steel.key, options.shop.bar),
                       "`thinquench shop` tells how; --no-shop leaves it out");
}

std::vector<answers::LogBeside> logs_beside(const Options& options, const fs::path& shop_file,
                                            const std::string& case_path, answers::Executor& executor) {
  std::vector<answers::LogBeside> out;
  const shop::Journal journal = open_shop(shop_file);
  const std::string wanted = path_from_shop(shop_file, case_path);
  bool packet = false, quench = false, coupon = false, oven = false;
  for (auto entry = journal.entries.rbegin(); entry != journal.entries.rend(); ++entry) {
    if (entry->kind != Entry::Kind::firing || (packet && quench && coupon && oven) ||
        entry->text.find("_log") == std::string::npos)
      continue;
    try {
      const shop::Firing firing = shop::read_firing(journal, *entry);
      if (path_from_shop(shop_file, path_of_shop(shop_file, firing.case_path)) != wanted)
        continue;
      const shop::Blade blade = blade_of(options, shop_file, firing);
      const treatment::Case known = in_shop(options, shop_file, journal, blade.made);
      const std::string of = firing.blade.empty() ? firing.date : firing.blade;
      const auto add = [&](const std::optional<records::LogRecord>& log, answers::LogOf what,
                           const char* name, bool& have, bool of_coupon) {
        if (!log || have)
          return;
        const treatment::Case piece = of_coupon ? shop::piece_case(known, *firing.coupon_m) : known;
        for (auto& one : answers::log_beside(piece, of_coupon ? 0 : blade.station, what, name + (" of " + of),
                                             *log, executor)) {
          out.push_back(std::move(one));
          have = true;
        }
      };
      add(blade.packet, answers::LogOf::packet, "packet", packet, false);
      add(blade.quench, answers::LogOf::quench, "oil", quench, false);
      if (firing.coupon_m)
        add(blade.coupon, answers::LogOf::quench, "coupon", coupon, true);
      add(blade.oven, answers::LogOf::oven, "oven", oven, false);
    } catch (const records::InputError&) {
      continue; // told when it was learnt from
    }
  }
  return out;
}

} // namespace tq::program
