#include "shop/learning.hpp"

#include "shop/readings.hpp"
#include "steel/temper.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace tq::shop {
namespace {

/// One line about an entry: what was far from what was expected, how many draws carried it.
std::string remark_of(const Firing& firing, const Entry& entry, const Lesson& lesson) {
  std::string text =
      "line " + std::to_string(entry.line) + (firing.blade.empty() ? "" : ", " + firing.blade) + ": ";
  if (lesson.rounds == 0)
    return text + "nothing to learn from";
  text += units::formatted("%d draws in %d rounds, %.0f %% of the last effective", lesson.draws,
                           lesson.rounds, 100 * lesson.effective);
  for (const Held& held : lesson.held)
    if (held.set_aside)
      text += units::formatted("; %s: %.4g read, %.4g expected, counted for little", held.what.c_str(),
                               held.read, held.before);
  return text;
}

std::string on_one_line(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

double one_hour(double T_degC, double time_s, double constant_h) {
  constexpr double hour_s = 3600;
  return steel::equivalent_temperature(steel::hollomon_jaffe(T_degC, time_s, constant_h), hour_s, constant_h);
}

} // namespace

std::optional<std::vector<const Entry*>> unknown_firings(const Journal& journal, const Belief& belief) {
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

Blade blade_of(const treatment::Case& read, const Firing& firing, const LogOf& log_of) {
  Blade blade{as_made(read, firing), firing, 0, {}, {}};
  if (!firing.station.empty()) {
    const auto& all = blade.made.blade.stations;
    const auto at =
        std::find_if(all.begin(), all.end(), [&](const auto& s) { return s.name == firing.station; });
    if (at == all.end())
      throw records::InputError(firing.case_path + ": there is no station called '" + firing.station + "'");
    blade.station = static_cast<std::size_t>(at - all.begin());
  }
  blade.packet = log_of(firing.packet_log);
  blade.oven = log_of(firing.oven_log);
  blade.quench = log_of(firing.quench_log);
  if (firing.coupon_m || firing.coupon_hrc)
    blade.coupon = log_of(firing.coupon_log);
  return blade;
}

Belief believed(const Journal& journal, Belief kept, const Teacher& teacher) {
  Belief belief = std::move(kept);
  auto fresh = unknown_firings(journal, belief);
  if (!fresh) {
    belief = {};
    fresh = unknown_firings(journal, belief);
  }
  const auto trouble = [&](const Entry& entry, const std::string& why) {
    if (teacher.trouble)
      teacher.trouble(entry, on_one_line(why));
  };
  for (std::size_t i = 0; i < fresh->size(); ++i) {
    const Entry& entry = *(*fresh)[i];
    try {
      const Firing firing = read_firing(journal, entry);
      const Blade blade = teacher.blade_of(firing);
      const Lesson lesson = learn(belief, blade, teacher.executor, {}, [&](std::size_t) {
        return !teacher.go_on || teacher.go_on(static_cast<double>(i) / static_cast<double>(fresh->size()));
      });
      belief.blades += lesson.rounds > 0 ? 1 : 0;
      belief.remarks.push_back(on_one_line(remark_of(firing, entry, lesson)));
      belief.learnt.push_back(entry.digest);
      if (teacher.learnt)
        teacher.learnt(belief);
    } catch (const records::InputError& error) {
      trouble(entry, error.what());
    } catch (const treatment::SolverError& error) {
      trouble(entry, "line " + std::to_string(entry.line) + " of " + journal.file + ": " + error.what());
    }
  }
  return belief;
}

std::vector<CouponReading> coupon_readings(const Journal& journal, treatment::SubjectReader& reader,
                                           const std::string& steel, const std::string& bar) {
  std::vector<CouponReading> out;
  std::map<std::string, treatment::Subject> read; // each steel once
  for (const Entry& entry : journal.entries) {
    if (entry.kind != Entry::Kind::coupon)
      continue;
    const Coupon coupon = read_coupon(journal, entry);
    if (coupon.bar != bar)
      continue;
    auto at = read.find(coupon.steel);
    if (at == read.end())
      at = read.emplace(coupon.steel, reader.read(coupon.steel)).first;
    const treatment::Subject& subject = at->second;
    if ((subject.by_composition ? subject.name : subject.record.key) != steel)
      continue;
    treatment::HardeningQuestion hardening;
    hardening.temperature_degC = coupon.harden_degC;
    hardening.soak_s = coupon.soak_s;
    const treatment::HardeningAnswer hardened = treatment::answer_hardening(subject, hardening);
    const auto hrc = [&](double T_degC) {
      return treatment::answer_temper(subject, {T_degC, coupon.hold_s, coupon.cycles, {}, 1}, hardened,
                                      reader.temper_model())
          .hardness_HRC;
    };
    const double here = hrc(coupon.temper_degC);
    if (!std::isfinite(here))
      continue;
    constexpr double step_K = 5;
    out.push_back(
        {one_hour(coupon.temper_degC, coupon.hold_s * coupon.cycles, subject.record.temper.hj_constant_h),
         coupon.hrc - here,
         (hrc(coupon.temper_degC + step_K) - hrc(coupon.temper_degC - step_K)) / (2 * step_K), coupon.dents});
    if (coupon.block_hrc && coupon.block_read_hrc)
      out.back().block = {*coupon.block_hrc, *coupon.block_read_hrc - *coupon.block_hrc,
                          coupon.block_within_hrc ? *coupon.block_within_hrc / 2 : block_HRC};
  }
  return out;
}

std::string rests_on(int blades, int coupons) {
  const auto counted = [](int n, const char* what) {
    return n == 0 ? std::string() : std::to_string(n) + " " + what + (n > 1 ? "s" : "");
  };
  const std::string of_blades = counted(blades, "blade"), of_coupons = counted(coupons, "coupon");
  return "from " + of_blades + (blades > 0 && coupons > 0 ? " and " : "") + of_coupons + " of this shop";
}

treatment::Case in_shop(const treatment::Case& c, Belief belief, const std::string& bar,
                        const std::vector<CouponReading>& coupons, std::string_view to_leave_out) {
  hold_coupons(belief, c, bar, coupons);
  const int count = static_cast<int>(coupons.size());
  if (belief.blades + count == 0)
    return c;
  const std::string from = rests_on(belief.blades, count);
  treatment::Case out = as_learnt(c, belief, bar, from);
  if (out.uncertainty.learnt)
    out.defaults.push_back("furnace, foil, oil, oven and steel are taken as the shop's journal teaches, " +
                           from + " (" + std::string(to_leave_out) + ")");
  return out;
}

} // namespace tq::shop
