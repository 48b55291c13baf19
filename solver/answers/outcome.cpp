#include "answers/outcome.hpp"

#include "answers/margins.hpp"
#include "answers/wanted.hpp"
#include "steel/grain.hpp"
#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using treatment::Case;

namespace {

/// Greatest or least of one figure over all zones; NaN when any of them is.
template <class Better>
double over_zones(const Outcome& o, double ZoneAnswer::*figure, Better better, bool hard_only) {
  double out = NAN;
  bool first = true;
  for (const StationAnswer& s : o.stations)
    for (const ZoneAnswer& z : s.zones) {
      if (hard_only && z.wanted != treatment::Wanted::hard)
        continue;
      const double value = z.*figure;
      if (std::isnan(value))
        return NAN;
      if (first || better(value, out))
        out = value;
      first = false;
    }
  return out;
}

double least(const Outcome& o, double ZoneAnswer::*figure, bool hard_only = false) {
  return over_zones(o, figure, std::less<double>(), hard_only);
}
double greatest(const Outcome& o, double ZoneAnswer::*figure, bool hard_only = false) {
  return over_zones(o, figure, std::greater<double>(), hard_only);
}

bool worse_quenched(const ZoneAnswer& a, const ZoneAnswer& b) {
  return a.transformed != b.transformed ? a.transformed > b.transformed : a.rate_margin < b.rate_margin;
}

} // namespace

const ZoneAnswer& Outcome::limiting() const {
  const ZoneAnswer* worst = nullptr;
  for (const StationAnswer& s : stations)
    for (const ZoneAnswer& z : s.zones)
      if (z.wanted == treatment::Wanted::hard && (!worst || worse_quenched(z, *worst)))
        worst = &z;
  return *worst;
}

std::string Outcome::limiting_name(const Case& c) const {
  const ZoneAnswer& worst = limiting();
  for (std::size_t i = 0; i < stations.size(); ++i)
    for (const ZoneAnswer& z : stations[i].zones)
      if (&z == &worst)
        return (stations.size() > 1 ? c.blade.stations[i].name + ", " : "") + z.name;
  return "";
}

double Outcome::transformed() const { return greatest(*this, &ZoneAnswer::transformed, true); }
double Outcome::rate_margin() const { return least(*this, &ZoneAnswer::rate_margin, true); }
double Outcome::austenite() const { return least(*this, &ZoneAnswer::austenite); }
double Outcome::carbon_wt() const { return least(*this, &ZoneAnswer::carbon_in_solution); }
double Outcome::soak_s() const { return least(*this, &ZoneAnswer::soak_s); }
double Outcome::reaches_temperature_s() const { return greatest(*this, &ZoneAnswer::reaches_temperature_s); }
double Outcome::retained_austenite() const { return greatest(*this, &ZoneAnswer::retained_austenite); }
double Outcome::as_quenched_least_HRC() const { return least(*this, &ZoneAnswer::as_quenched_HRC, true); }
double Outcome::as_quenched_most_HRC() const { return greatest(*this, &ZoneAnswer::as_quenched_HRC, true); }
double Outcome::tempered_least_HRC() const { return least(*this, &ZoneAnswer::tempered_HRC, true); }
double Outcome::tempered_most_HRC() const { return greatest(*this, &ZoneAnswer::tempered_HRC, true); }

double Outcome::bath_end_degC() const {
  double most = NAN;
  for (const StationAnswer& s : stations)
    most = std::isnan(most) ? s.bath_end_degC : std::max(most, s.bath_end_degC);
  return most;
}

Verdict worst_of(Verdict a, Verdict b) {
  if (a == Verdict::not_asked)
    return b;
  if (b == Verdict::not_asked)
    return a;
  return static_cast<int>(a) > static_cast<int>(b) ? a : b;
}

Verdict soak_verdict(const Case& c, const StationAnswer& s, double final_degC) {
  const auto& wanted = c.steel.austenitising;
  if (!c.quenched() && final_degC < steel::ac1(c.steel))
    return Verdict::not_asked;
  double austenite = 1, carbon_wt = 1e9, soak_s = 1e9;
  for (const ZoneAnswer& z : s.zones) {
    if (std::isnan(z.austenite))
      return Verdict::not_asked;
    austenite = std::min(austenite, z.austenite);
    carbon_wt = std::min(carbon_wt, z.carbon_in_solution);
    soak_s = std::min(soak_s, z.soak_s);
  }
  if (austenite < c.thresholds.austenite_least || carbon_wt < wanted.carbon_wanted_wt)
    return Verdict::fail;
  const bool unusual = final_degC > wanted.hardening_to_degC + overheated_K ||
                       final_degC < wanted.hardening_from_degC - overheated_K;
  return unusual || soak_s < enough_of_the_soak * c.wishes.soak_s || soak_s > steel::longest_soak_s
             ? Verdict::marginal
             : Verdict::pass;
}

Verdict soak_verdict(const Case& c, const Outcome& o) {
  if (!c.heated() || c.steel.inert)
    return Verdict::not_asked;
  const double final_degC = treatment::temperature_of(c.furnace()).final_degC();
  Verdict out = Verdict::not_asked;
  for (const StationAnswer& s : o.stations)
    out = worst_of(out, soak_verdict(c, s, final_degC));
  return out;
}

Verdict quench_verdict(const Case& c, const Outcome& o) {
  Verdict out = Verdict::not_asked;
  for (const StationAnswer& s : o.stations)
    for (const ZoneAnswer& z : s.zones)
      out = worst_of(out, zone_verdict(c, z.wanted, z.transformed));
  return out;
}

Verdict hardness_verdict(const treatment::HardnessWish& wish, double least_HRC, double most_HRC,
                         double band_HRC) {
  if (!wish.stated() || std::isnan(least_HRC) || std::isnan(most_HRC))
    return Verdict::not_asked;
  const double miss = wish.miss(least_HRC, most_HRC);
  return miss <= 0 ? Verdict::pass : miss <= band_HRC ? Verdict::marginal : Verdict::fail;
}

HardRange hard_range(const StationAnswer& s) {
  HardRange out;
  for (const ZoneAnswer& z : s.zones)
    if (z.wanted == treatment::Wanted::hard) {
      if (std::isnan(z.tempered_HRC))
        return {NAN, NAN};
      out.least = std::min(out.least, z.tempered_HRC);
      out.most = std::max(out.most, z.tempered_HRC);
    }
  return out;
}

double wish_missed_by(const StationAnswer& s) {
  const HardRange hrc = hard_range(s);
  return !s.wish.stated() ? 0 : std::isnan(hrc.least) ? NAN : s.wish.miss(hrc.least, hrc.most);
}

Verdict hardness_verdict(const Case& c, const Outcome& o) {
  if (!c.hardness_wished())
    return Verdict::not_asked;
  Verdict out = Verdict::not_asked;
  for (const StationAnswer& s : o.stations) {
    const HardRange hrc = hard_range(s);
    if (s.wish.stated() && std::isnan(hrc.least))
      return Verdict::not_asked;
    out = worst_of(out, hardness_verdict(s.wish, hrc.least, hrc.most, s.hrc_band));
  }
  return out;
}

} // namespace tq::answers
