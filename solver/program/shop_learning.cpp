#include "program/shop_learning.hpp"

#include "output/files/files.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/progress.hpp"
#include "program/questions.hpp"
#include "program/shop_file.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "records/read_log.hpp"
#include "steel/temper.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <fstream>
#include <iostream>
#include <iterator>
#include <map>

namespace tq::program {
namespace {

namespace fs = std::filesystem;
using shop::Belief;
using shop::Entry;

/// What a belief depends on beside the entries; raised when learning or its scores change.
constexpr const char* belief_of = "learning 1";

fs::path kept_beside(const fs::path& shop_file) { return fs::path(shop_file.string() + ".learnt"); }

Belief kept(const fs::path& shop_file) {
  std::ifstream in(kept_beside(shop_file), std::ios::binary);
  if (!in)
    return {};
  return shop::read_belief(std::string(std::istreambuf_iterator<char>(in), {}), belief_of);
}

void keep(const fs::path& shop_file, const Belief& belief) {
  try {
    output::PendingFile pending(kept_beside(shop_file));
    pending.write(shop::belief_text(belief, belief_of));
    pending.commit();
  } catch (const output::WriteError&) {
    // it is learnt again next time
  }
}

/// The firings that the belief does not know; an empty optional when it knows one that is no longer there.
std::optional<std::vector<const Entry*>> unknown(const shop::Journal& journal, const Belief& belief) {
  std::map<std::uint64_t, int> known;
  for (const std::uint64_t digest : belief.learnt)
    ++known[digest];
  std::vector<const Entry*> fresh;
  std::size_t found = 0;
  for (const Entry& entry : journal.entries)
    if (entry.kind == Entry::Kind::firing) {
      if (const auto at = known.find(entry.digest); at != known.end() && at->second > 0) {
        --at->second;
        ++found;
      } else {
        fresh.push_back(&entry);
      }
    }
  if (found != belief.learnt.size())
    return {};
  return fresh;
}

std::optional<records::LogRecord> log_of(const fs::path& shop_file, const std::string& path) {
  if (path.empty())
    return {};
  const std::string file = path_of_shop(shop_file, path).string();
  return records::read_log(read_case_text(file), file);
}

/// One line about an entry: what was far from what was expected, how many draws carried it.
std::string remark_of(const shop::Firing& firing, const Entry& entry, const shop::Lesson& lesson) {
  std::string text =
      "line " + std::to_string(entry.line) + (firing.blade.empty() ? "" : ", " + firing.blade) + ": ";
  if (lesson.rounds == 0)
    return text + "nothing to learn from";
  text += units::formatted("%d draws in %d rounds, %.0f %% of the last effective", lesson.draws,
                           lesson.rounds, 100 * lesson.effective);
  for (const shop::Held& held : lesson.held)
    if (held.set_aside)
      text += units::formatted("; %s: %.4g read, %.4g expected, counted for little", held.what.c_str(),
                               held.read, held.before);
  return text;
}

double one_hour(double T_degC, double time_s, double constant_h) {
  constexpr double hour_s = 3600;
  return steel::equivalent_temperature(steel::hollomon_jaffe(T_degC, time_s, constant_h), hour_s, constant_h);
}

} // namespace

std::string rests_on(int blades, int coupons) {
  const auto counted = [](int n, const char* what) {
    return n == 0 ? std::string() : std::to_string(n) + " " + what + (n > 1 ? "s" : "");
  };
  const std::string of_blades = counted(blades, "blade"), of_coupons = counted(coupons, "coupon");
  return "from " + of_blades + (blades > 0 && coupons > 0 ? " and " : "") + of_coupons + " of this shop";
}

shop::Blade blade_of(const Options& given, const fs::path& shop_file, const shop::Firing& firing) {
  Options options = given;
  options.shop.file = shop_file;
  options.shop.none = false;
  options.settings.clear();
  for (const records::Setting& setting : firing.set)
    options.settings.push_back(setting.path + "=" + setting.value);
  const OpenedCase opened =
      open_case(options, path_of_shop(shop_file, firing.case_path).string(), true, Learning::no);
  shop::Blade blade{shop::as_made(opened.contents, firing), firing, 0, {}, {}};
  if (!firing.station.empty()) {
    const auto& all = blade.made.blade.stations;
    const auto at =
        std::find_if(all.begin(), all.end(), [&](const auto& s) { return s.name == firing.station; });
    if (at == all.end())
      throw records::InputError(firing.case_path + ": there is no station called '" + firing.station + "'");
    blade.station = static_cast<std::size_t>(at - all.begin());
  }
  blade.packet = log_of(shop_file, firing.packet_log);
  blade.oven = log_of(shop_file, firing.oven_log);
  return blade;
}

Belief believed(const Options& options, const fs::path& shop_file, const shop::Journal& journal) {
  Belief belief = kept(shop_file);
  auto fresh = unknown(journal, belief);
  if (!fresh) {
    belief = {};
    fresh = unknown(journal, belief);
  }
  if (fresh->empty())
    return belief;
  const InterruptWatch watch;
  ThreadPool pool(options.threads);
  ProgressLine line(options.quiet || !is_terminal(Stream::err) ? ProgressLine::Style::none
                                                               : ProgressLine::Style::redrawn);
  bool learnt = false;
  for (std::size_t i = 0; i < fresh->size(); ++i) {
    const Entry& entry = *(*fresh)[i];
    try {
      const shop::Firing firing = shop::read_firing(journal, entry);
      const shop::Blade blade = blade_of(options, shop_file, firing);
      const shop::Lesson lesson = shop::learn(belief, blade, pool, {}, [&](std::size_t) {
        line.show(static_cast<double>(i) / static_cast<double>(fresh->size()),
                  "learning from the shop's journal");
        return !watch.interrupted();
      });
      belief.blades += lesson.rounds > 0 ? 1 : 0;
      belief.remarks.push_back(one_line(remark_of(firing, entry, lesson)));
      belief.learnt.push_back(entry.digest);
      learnt = true;
    } catch (const records::InputError& error) {
      line.wipe();
      std::cerr << "thinquench: not learnt from: " << one_line(error.what()) << "\n";
    } catch (const treatment::SolverError& error) {
      line.wipe();
      std::cerr << "thinquench: not learnt from line " << entry.line << " of " << journal.file << ": "
                << one_line(error.what()) << "\n";
    }
  }
  if (learnt)
    keep(shop_file, belief);
  return belief;
}

std::vector<shop::CouponReading> coupon_readings(const Options& options, const fs::path& shop_file,
                                                 const shop::Journal& journal, const std::string& steel,
                                                 const std::string& bar) {
  std::vector<shop::CouponReading> out;
  std::optional<SubjectReader> reader;
  for (const Entry& entry : journal.entries) {
    if (entry.kind != Entry::Kind::coupon)
      continue;
    const shop::Coupon coupon = shop::read_coupon(journal, entry);
    if (coupon.bar != bar)
      continue;
    if (!reader)
      reader.emplace(find_materials(options.materials), shop_file.parent_path());
    const Subject subject = reader->read(coupon.steel);
    if ((subject.by_composition ? subject.name : subject.record.key) != steel)
      continue;
    HardeningQuestion hardening;
    hardening.temperature_degC = coupon.harden_degC;
    hardening.soak_s = coupon.soak_s;
    const HardeningAnswer hardened = answer_hardening(subject, hardening);
    const auto hrc = [&](double T_degC) {
      return answer_temper(subject, {T_degC, coupon.hold_s, coupon.cycles, {}, 1}, hardened,
                           reader->temper_model())
          .hardness_HRC;
    };
    const double here = hrc(coupon.temper_degC);
    if (!std::isfinite(here))
      continue;
    constexpr double step_K = 5;
    out.push_back(
        {one_hour(coupon.temper_degC, coupon.hold_s * coupon.cycles, subject.record.temper.hj_constant_h),
         coupon.hrc - here,
         (hrc(coupon.temper_degC + step_K) - hrc(coupon.temper_degC - step_K)) / (2 * step_K)});
  }
  return out;
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
  int coupons = 0;
  const Belief belief =
      with_coupons(options, shop_file, journal, c, believed(options, shop_file, journal), coupons);
  if (belief.blades + coupons == 0)
    return c;
  const std::string from = rests_on(belief.blades, coupons);
  treatment::Case out = shop::as_learnt(c, belief, options.shop.bar, from);
  if (out.uncertainty.learnt)
    out.defaults.push_back("furnace, foil, oil, oven and steel are taken as the shop's journal teaches, " +
                           from + " (`thinquench shop` tells how; --no-shop leaves it out)");
  return out;
}

std::vector<answers::LogBeside> logs_beside(const Options& options, const fs::path& shop_file,
                                            const std::string& case_path, answers::Executor& executor) {
  std::vector<answers::LogBeside> out;
  const shop::Journal journal = open_shop(shop_file);
  const std::string wanted = path_from_shop(shop_file, case_path);
  bool packet = false, oven = false;
  for (auto entry = journal.entries.rbegin(); entry != journal.entries.rend(); ++entry) {
    if (entry->kind != Entry::Kind::firing || (packet && oven) ||
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
                           const char* name, bool& have) {
        if (!log || have)
          return;
        for (auto& one :
             answers::log_beside(known, blade.station, what, name + (" of " + of), *log, executor)) {
          out.push_back(std::move(one));
          have = true;
        }
      };
      add(blade.packet, answers::LogOf::packet, "packet", packet);
      add(blade.oven, answers::LogOf::oven, "oven", oven);
    } catch (const records::InputError&) {
      continue; // told when it was learnt from
    }
  }
  return out;
}

} // namespace tq::program
