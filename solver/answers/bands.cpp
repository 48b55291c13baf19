#include "answers/bands.hpp"

#include "answers/blades_in_ten.hpp"
#include "answers/coarse_case.hpp"
#include "answers/figures.hpp"
#include "answers/telling.hpp"
#include "answers/timer.hpp"
#include "answers/variance_shares.hpp"
#include "answers/wanted.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace tq::answers {

using treatment::Case;
using treatment::Part;

namespace {

constexpr double least_share_told = 0.01;

std::vector<Cause> causes_of(const VarianceShares& shares, const std::vector<double>& y) {
  const std::vector<double> all = shares(y);
  std::vector<Cause> causes;
  for (std::size_t i = 0; i < all.size(); ++i)
    if (all[i] >= least_share_told)
      causes.push_back({i, all[i]});
  std::stable_sort(causes.begin(), causes.end(),
                   [](const Cause& a, const Cause& b) { return a.share > b.share; });
  return causes;
}

/// The members that came through, while their figures are gathered.
struct Gathered {
  std::vector<std::vector<double>> members; ///< packed()
  std::vector<std::size_t> numbers;         ///< their numbers in the sample
  const VarianceShares& shares;
  std::size_t drawn; ///< members, failed ones included
  bool keep;
};

double of_station(const Figure& figure, const StationAnswer& station) {
  return (figure.drawn != nullptr ? figure.drawn : figure.of_station)(station);
}
bool drawn_of_station(const Figure& figure) { return figure.spread.drawn && figure.of_station != nullptr; }
bool drawn_of_zone(const Figure& figure) { return figure.spread.drawn && figure.of_zone != nullptr; }

/// What the verdicts over the members look at, behind the figures of a zone.
enum Judged : std::size_t { austenite, carbon, gone_soft, tempered_HRC, judged_count };

/// Everything that the bands need of these answers: by station its figures and the verdict of its soak, then
/// by zone its figures and what is judged.
std::vector<double> packed(const std::vector<StationAnswer>& stations) {
  std::vector<double> out;
  for (const StationAnswer& station : stations) {
    for (const Figure& figure : answers::figures())
      if (drawn_of_station(figure))
        out.push_back(of_station(figure, station));
    out.push_back(static_cast<double>(station.soak.verdict));
    for (const ZoneAnswer& zone : station.zones) {
      for (const Figure& figure : answers::figures())
        if (drawn_of_zone(figure))
          out.push_back(figure.of_zone(zone));
      out.insert(out.end(), {zone.austenite, zone.carbon_in_solution, zone.transformed, zone.tempered_HRC});
    }
  }
  return out;
}

/// The band of the figure that stands at `at` in every packed answer; nothing when neither the point answer
/// nor a member has it.
std::optional<Band> band_of(const Figure& figure, const Gathered& all, const std::vector<double>& fine_one,
                            const std::vector<double>& coarse_one, std::size_t at) {
  const Spread& spread = figure.spread;
  const double fine = fine_one[at], coarse = coarse_one[at];
  Band band;
  band.key = figure.meaning.name;
  band.nominal = fine;
  std::vector<double> values, sorted;
  bool plain = true;
  for (const auto& one : all.members) {
    const double v = corrected(one[at], fine, coarse, spread.nature, spread.least, spread.most);
    values.push_back(v);
    plain = plain && std::isfinite(v);
    if (!std::isnan(v))
      sorted.push_back(v);
  }
  if (sorted.empty())
    return std::nullopt;
  band.known = static_cast<double>(sorted.size()) / static_cast<double>(values.size());
  if (spread.absent_is_never)
    sorted.resize(values.size(), INFINITY);
  std::sort(sorted.begin(), sorted.end());
  band.low = quantile(sorted, 0.05);
  band.middle = quantile(sorted, 0.5);
  band.high = quantile(sorted, 0.95);
  band.nine_from = quantile(sorted, 0.1);
  band.nine_to = quantile(sorted, 0.9);
  if (band.high > band.low)
    band.causes =
        causes_of(all.shares, plain && spread.nature == Nature::difference ? values : ranks(values));
  if (all.keep) {
    band.members.assign(all.drawn, NAN);
    for (std::size_t m = 0; m < values.size(); ++m)
      band.members[all.numbers[m]] = values[m];
  }
  return band;
}

/// What each member makes of a verdict.
using Members = std::vector<Verdict>;

double share_of(const Members& all, Verdict verdict) {
  return static_cast<double>(std::count(all.begin(), all.end(), verdict)) / static_cast<double>(all.size());
}

BandedVerdict banded(const Members& all, const VarianceShares& shares) {
  BandedVerdict v;
  v.passing = share_of(all, Verdict::pass);
  v.failing = share_of(all, Verdict::fail);
  v.verdict = verdict_of(v.passing, v.failing);
  std::vector<double> y;
  for (const Verdict one : all)
    y.push_back(one == Verdict::pass ? 1 : 0);
  v.causes = causes_of(shares, y);
  return v;
}

void take_worse(Members& all, const Members& others) {
  for (std::size_t m = 0; m < all.size(); ++m)
    all[m] = std::max(all[m], others[m]); // pass, marginal, fail
}

/// Hardness of the zones of a station that are to be hard, by member, on the grid of the case.
struct HardZones {
  std::vector<double> least, most;
};

Verdict lands(const treatment::HardnessWish& wish, double least, double most) {
  const double miss = wish.stated() ? wish.miss(least, most) : 0;
  return miss <= 0 ? Verdict::pass : miss <= near_miss_HRC ? Verdict::marginal : Verdict::fail;
}

/// `at`: where the station begins in the packed answers; left behind its end.
StationBands station_bands(const Case& c, const Gathered& all, const StationAnswer& nominal,
                           const std::vector<double>& fine, const std::vector<double>& coarse,
                           std::size_t& at, HardZones& hard) {
  StationBands out;
  out.name = nominal.name;
  for (const Figure& figure : answers::figures())
    if (drawn_of_station(figure)) {
      if (auto band = band_of(figure, all, fine, coarse, at))
        out.figures.push_back(std::move(*band));
      ++at;
    }
  const std::size_t soak_verdict = at++;
  const bool soaked = nominal.soak.verdict != Verdict::not_asked;
  const bool hardened = nominal.quench.verdict != Verdict::not_asked;
  const bool wished = nominal.hardness.verdict != Verdict::not_asked;
  const std::size_t n = all.members.size();
  Members soak(n, Verdict::pass), quench = soak, hardness = soak;
  hard.least.assign(n, INFINITY);
  hard.most.assign(n, -INFINITY);
  for (std::size_t z = 0; z < out.zones.size(); ++z) {
    ZoneBands& zone = out.zones[z];
    const treatment::Wanted wanted = nominal.zones[z].wanted;
    zone.name = nominal.zones[z].name;
    for (const Figure& figure : answers::figures())
      if (drawn_of_zone(figure)) {
        if (auto band = band_of(figure, all, fine, coarse, at))
          zone.figures.push_back(std::move(*band));
        ++at;
      }
    const std::size_t judged = at;
    at += judged_count;
    const auto verdict = [&](bool asked, Members& of_station, const auto& judge) {
      if (!asked)
        return BandedVerdict{};
      Members one;
      for (std::size_t m = 0; m < n; ++m)
        one.push_back(judge(m));
      take_worse(of_station, one);
      return banded(one, all.shares);
    };
    zone.soak = verdict(soaked, soak, [&](std::size_t m) {
      const double* of = &all.members[m][judged];
      return of[austenite] >= c.thresholds.austenite_least &&
                     of[carbon] >= c.steel.austenitising.carbon_wanted_wt
                 ? Verdict::pass
                 : Verdict::fail;
    });
    const auto moved = [&](std::size_t m, Judged what, Nature nature, double least, double most) {
      const std::size_t k = judged + what;
      return corrected(all.members[m][k], fine[k], coarse[k], nature, least, most);
    };
    zone.hardens = verdict(hardened && wanted != treatment::Wanted::either, quench, [&](std::size_t m) {
      return zone_verdict(c, wanted, moved(m, gone_soft, Nature::ratio, 0, 1));
    });
    zone.hardness = verdict(wished && wanted == treatment::Wanted::hard, hardness, [&](std::size_t m) {
      const double hrc = moved(m, tempered_HRC, Nature::difference, -INFINITY, INFINITY);
      hard.least[m] = std::min(hard.least[m], hrc);
      hard.most[m] = std::max(hard.most[m], hrc);
      return lands(nominal.wish, hrc, hrc);
    });
  }
  if (soaked) { // too hot or too short a soak is no matter of one zone
    for (std::size_t m = 0; m < n; ++m)
      soak[m] = std::max(soak[m], static_cast<Verdict>(static_cast<int>(all.members[m][soak_verdict])));
    out.soak = banded(soak, all.shares);
  }
  if (hardened)
    out.quench = banded(quench, all.shares);
  if (wished)
    out.hardness = banded(hardness, all.shares);
  return out;
}

/// The chance of landing in the wish at the case's oven and at others. `hard`: by station.
OvenChance chance_of(const Case& c, const Answers& nominal, const std::vector<HardZones>& hard) {
  OvenChance out;
  const std::size_t n = hard.front().least.size();
  const auto chance = [&](const std::vector<double>& change_HRC) {
    std::size_t lands_in = 0;
    for (std::size_t m = 0; m < n; ++m) {
      bool all = true;
      for (std::size_t s = 0; s < hard.size(); ++s)
        all = all && lands(nominal.stations[s].wish, hard[s].least[m] + change_HRC[s],
                           hard[s].most[m] + change_HRC[s]) == Verdict::pass;
      lands_in += all ? 1 : 0;
    }
    return static_cast<double>(lands_in) / static_cast<double>(n);
  };
  std::vector<double> change(hard.size(), 0);
  out.here = out.best = chance(change);
  const double own = c.oven().oven_degC;
  const auto brittle = [&](double T) {
    return T + c.oven().swing_K > c.steel.brittle_from_degC && T - c.oven().swing_K < c.steel.brittle_to_degC;
  };
  std::size_t ovens = 0;
  for (const StationAnswer& s : nominal.stations)
    ovens = &s == &nominal.stations.front() ? s.ovens.size() : std::min(ovens, s.ovens.size());
  struct Tried {
    double oven_degC, chance;
  };
  std::vector<Tried> tried;
  for (std::size_t k = 0; k < ovens; ++k) {
    const double T = nominal.stations.front().ovens[k].oven_degC;
    for (std::size_t s = 0; s < hard.size(); ++s)
      change[s] = nominal.stations[s].ovens[k].change_HRC;
    if (!brittle(T) || brittle(own))
      tried.push_back({T, chance(change)});
  }
  for (const Tried& t : tried)
    out.best = std::max(out.best, t.chance);
  constexpr double as_good = 0.02; // of those as good as the best the one nearest to what is set
  for (const Tried& t : tried)
    if (t.chance >= out.best - as_good &&
        (std::isnan(out.best_degC) || std::abs(t.oven_degC - own) < std::abs(out.best_degC - own)))
      out.best_degC = t.oven_degC;
  return out;
}

const Band* found(const std::vector<Band>& figures, const std::string& key) {
  const auto at = std::find_if(figures.begin(), figures.end(), [&](const Band& b) { return b.key == key; });
  return at == figures.end() ? nullptr : &*at;
}

std::vector<StationAnswer> member_answer(const Case& c, const std::vector<UncertainInput>& inputs,
                                         const double* changes, const std::vector<double>& spare_s) {
  std::vector<StationAnswer> answers = quick_answer(perturbed(c, inputs, changes), spare_s);
  for (std::size_t i = 0; i < inputs.size(); ++i)
    if (inputs[i].adjust)
      for (StationAnswer& station : answers)
        inputs[i].adjust(station, changes[i]);
  return answers;
}

} // namespace

Verdict verdict_of(double passing, double failing) {
  return passing >= passing_for_pass && failing <= failing_for_pass  ? Verdict::pass
         : failing > failing_for_fail && passing <= passing_for_fail ? Verdict::fail
                                                                     : Verdict::marginal;
}

Verdict hardness_verdict_of(const OvenChance& chance, double failing) {
  const bool better = chance.best >= chance.here + noticeably_better;
  if (chance.here >= fair_chance && !better && failing <= missing_for_pass)
    return Verdict::pass;
  return failing > missing_for_fail ? Verdict::fail : Verdict::marginal;
}

const Band* ZoneBands::find(const std::string& key) const { return found(figures, key); }
const Band* StationBands::find(const std::string& key) const { return found(figures, key); }

namespace {

/// The recommendations by the cautious end of the bands.
void careful(StationAnswer& s, const StationBands& drawn) {
  if (const Band* timer = drawn.find("timer_from_door"); timer != nullptr && timer->known > 0)
    s.timer_careful_s = whole_minutes_up(timer->nine_to);
  if (const Band* spare = drawn.find("transfer_to_spare"); spare != nullptr && spare->known > 0)
    s.transfer_careful_s = spare->nine_from;
  if (const Band* lift = drawn.find("lift_below_flash"); lift != nullptr && lift->known > 0)
    s.lift_careful_s = lift->nine_to;
  if (const Band* volume = drawn.find("least_bath_volume"); volume != nullptr && volume->known > 0)
    s.volume_careful_m3 = volume->nine_to;
}

/// A wish in which so many of the draws land that it passes, "58.5 to 62 HRC": between the ends of what nine
/// in ten have, less what a tester does not tell.
std::string wider_wish(const StationBands& s) {
  double from = INFINITY, to = -INFINITY;
  for (const ZoneBands& z : s.zones)
    if (const Band* hrc = z.find("hardness_tempered"); hrc != nullptr && z.hardness.passing >= 0) {
      from = std::min(from, hrc->low);
      to = std::max(to, hrc->high);
    }
  constexpr double half = 0.5;
  from = half * std::floor((from + near_miss_HRC) / half);
  to = half * std::ceil((to - near_miss_HRC) / half);
  constexpr double widest_HRC =
      5; // more is no wish: what spreads it has to be cured. Rule of this program, no source.
  return std::isfinite(to - from) && to > from && to - from <= widest_HRC
             ? units::formatted("%.3g to %.3g HRC", from, to)
             : "";
}

/// What to change where no other oven lands more blades in the wish.
std::string hardness_cure(const BandedVerdict& v, const StationBands* station, bool several) {
  if (v.verdict == Verdict::pass)
    return "";
  const std::string wish = station != nullptr ? wider_wish(*station) : "";
  if (wish.empty())
    return "first what the other verdicts ask for: the hardness follows them";
  return "a wish of " + wish + (several ? " at " + station->name : "") +
         ", or readings of your own (`note`) that narrow what is known";
}

/// The station whose hardness is judged worst; null when none is.
const StationBands* worst_hardness(const Bands& bands) {
  const StationBands* worst = nullptr;
  for (const StationBands& s : bands.stations)
    if (s.hardness.passing >= 0 && (worst == nullptr || s.hardness.failing > worst->hardness.failing))
      worst = &s;
  return worst;
}

} // namespace

Answers judged_by(const Answers& stated, const Bands& bands) {
  Answers out = stated;
  out.draws = bands.members;
  const auto causes = [&](const BandedVerdict& v) {
    constexpr std::size_t causes_told = 2;
    constexpr double worth_telling = 0.05;
    std::string names;
    for (std::size_t k = 0; k < std::min(causes_told, v.causes.size()); ++k)
      if (v.causes[k].share >= worth_telling)
        names += (names.empty() ? "" : " and ") + bands.inputs.at(v.causes[k].input).name;
    return names;
  };
  const auto as_stated = [](const Judgement& j, Verdict now) {
    return "as stated" + (now != j.verdict ? std::string(" ") + verdict_name(j.verdict) : "") + ": ";
  };
  const auto take = [](Judgement& j, const BandedVerdict& v) {
    j.before_draws = j.verdict;
    j.passing = v.passing;
    j.failing = v.failing;
    j.verdict = v.verdict;
  };
  const auto judge = [&](Judgement& j, const BandedVerdict& v) {
    if (j.verdict == Verdict::not_asked || v.verdict == Verdict::not_asked)
      return;
    std::string text = units::formatted("%.0f %% of the draws pass", std::floor(100 * v.passing + 1e-9));
    if (v.failing > 0)
      text += units::formatted(", %.0f %% fail", std::max(1.0, std::floor(100 * v.failing + 1e-9)));
    if (v.passing <= 0 && j.verdict == Verdict::fail) { // no draw mends it: its reason first
      const std::vector<Clause> as_given = j.reason.clauses();
      j.reason = Reason(as_given.empty() ? "" : as_given.front().text).add({text});
      for (std::size_t k = 1; k < as_given.size(); ++k)
        j.reason.add(as_given[k]);
      return take(j, v);
    }
    Reason said(text);
    if (const std::string names = causes(v); v.verdict != Verdict::pass && !names.empty())
      said.add({"mostly by " + names, ", "});
    j.reason = said.add_stated(as_stated(j, v.verdict), j.reason);
    take(j, v);
  };
  // "7 blades in 10 in the wish, 9 in 10 within 1 HRC of it, no other oven does noticeably better"
  const auto judge_hardness = [&](Judgement& j, const BandedVerdict& v, const StationBands* station) {
    if (j.verdict == Verdict::not_asked || v.verdict == Verdict::not_asked)
      return;
    Reason said(blades_in_ten(v.passing) + " in the wish, " + blades_in_ten(1 - v.failing) +
                units::formatted(" within %.3g HRC of it", near_miss_HRC));
    const bool better = bands.oven.best >= bands.oven.here + noticeably_better;
    if (better) {
      const std::string there = temperature_text(bands.oven.best_degC);
      said.add({"at " + there + " " + blades_in_ten(bands.oven.best), ", ", Clause::Kind::main});
      j.cure = "oven to " + there + ": " + blades_in_ten(bands.oven.best) + " then land in the wish";
    } else {
      said.add({"no other oven does noticeably better", ", "});
      j.cure = hardness_cure(v, station, out.stations.size() > 1);
    }
    if (const std::string names = causes(v); v.verdict != Verdict::pass && !names.empty())
      said.add({"most in doubt by " + names});
    j.reason = said.add_stated(as_stated(j, v.verdict), j.reason);
    take(j, v);
  };
  judge(out.soak, bands.soak);
  judge(out.quench, bands.quench);
  judge_hardness(out.hardness, bands.hardness, worst_hardness(bands));
  for (std::size_t i = 0; i < std::min(out.stations.size(), bands.stations.size()); ++i) {
    StationAnswer& station = out.stations[i];
    const StationBands& drawn = bands.stations[i];
    judge(station.soak, drawn.soak);
    judge(station.quench, drawn.quench);
    judge_hardness(station.hardness, drawn.hardness, &drawn);
    careful(station, drawn);
    for (std::size_t z = 0; z < station.zones.size(); ++z)
      judge(station.zones[z].hardens, drawn.zones[z].hardens);
  }
  // what the case sets and what nine draws in ten ask for
  if (out.soak.verdict == Verdict::marginal || out.soak.verdict == Verdict::fail) {
    const double set = over_stations(out.stations, "timer_used"),
                 careful_s = over_stations(out.stations, "timer_careful", true);
    if (careful_s > set + 1)
      out.soak.cure = "timer to " + minutes_up(careful_s) + " from closing the door";
    else if (out.soak.cure.empty()) // a longer soak does not help where carbon is missing
      out.soak.cure =
          !bands.soak.causes.empty() && bands.inputs.at(bands.soak.causes.front().input).key == "steel_carbon"
              ? "an analysis of this bar (`[blade.analysis]`): its carbon decides"
              : "a hotter furnace (`find setpoint`)";
  }
  if ((out.quench.verdict == Verdict::marginal || out.quench.verdict == Verdict::fail) &&
      out.quench.cure.empty() && !nothing_to_quench(out))
    out.quench.cure = "quicker into the bath, or a faster bath (`find transfer`, `compare --oils`)";
  return out;
}

Draws::Stated Draws::Stated::of(const Answers& nominal) {
  Stated out{nominal.stations.front().timer_used_s, {}};
  for (const StationAnswer& s : nominal.stations)
    out.spare_s.push_back(least_transfer_to_spare(s));
  return out;
}

Draws::Draws(const Case& c, const Stated& stated, const BandSettings& settings)
    : c_(c), settings_(settings), spare_s_(stated.spare_s), n_(static_cast<std::size_t>(settings.members)) {
  if (c_.heated() && !c_.furnace().timer_s) {
    set_timer_from_door(c_, stated.timer_used_s);
  }
  inputs_ = uncertain_inputs(c_);
  const std::size_t d = inputs_.size();
  points_ = linked_points(c_, inputs_, sample_points(n_, d, settings.seed));
  changes_.resize(points_.size());
  for (std::size_t i = 0; i < points_.size(); ++i)
    changes_[i] = inputs_[i % d].distribution.quantile(points_[i]);
}

std::vector<double> Draws::piece(std::size_t i) const {
  return packed(i == n_ ? quick_answer(c_, spare_s_)
                        : member_answer(c_, inputs_, changes_.data() + i * inputs_.size(), spare_s_));
}

std::size_t Draws::numbers(const Answers& nominal) { return packed(nominal.stations).size(); }

Bands Draws::reduce(const Answers& nominal, std::vector<std::vector<double>> pieces,
                    const std::string& first_failure) const {
  Bands out;
  out.members = settings_.members;
  out.seed = settings_.seed;
  out.inputs = inputs_;
  const std::size_t d = inputs_.size();
  std::vector<std::size_t> sound;
  for (std::size_t i = 0; i < n_; ++i)
    if (!pieces[i].empty())
      sound.push_back(i);
    else if (out.failed++ == 0)
      out.first_failure = first_failure;
  if (2 * sound.size() < n_)
    throw treatment::SolverError(
        "the solver gave up at more than half of the members of the bands; the first: " + out.first_failure);
  const std::vector<double> coarse = std::move(pieces[n_]);
  std::vector<double> sound_points, sound_changes;
  std::vector<std::vector<double>> sound_members;
  for (const std::size_t i : sound) {
    const auto from = static_cast<std::ptrdiff_t>(i * d), to = static_cast<std::ptrdiff_t>((i + 1) * d);
    sound_points.insert(sound_points.end(), points_.begin() + from, points_.begin() + to);
    sound_changes.insert(sound_changes.end(), changes_.begin() + from, changes_.begin() + to);
    sound_members.push_back(std::move(pieces[i]));
  }
  const VarianceShares shares(sound.size(), d, sound_points, sound_changes);
  const Gathered all{std::move(sound_members), sound, shares, n_, settings_.keep_members};
  const std::vector<double> fine = packed(nominal.stations);
  std::size_t at = 0;
  std::vector<HardZones> hard(nominal.stations.size());
  for (std::size_t s = 0; s < nominal.stations.size(); ++s)
    out.stations.push_back(station_bands(c_, all, nominal.stations[s], fine, coarse, at, hard[s]));
  const auto worst = [&](BandedVerdict StationBands::*which) {
    const StationBands* found = &out.stations.front();
    for (const StationBands& s : out.stations)
      if (std::isnan((s.*which).passing))
        continue;
      else if (std::isnan((found->*which).passing) || (s.*which).verdict > (found->*which).verdict ||
               ((s.*which).verdict == (found->*which).verdict &&
                (s.*which).passing < (found->*which).passing))
        found = &s;
    return found->*which;
  };
  out.soak = worst(&StationBands::soak);
  out.quench = worst(&StationBands::quench);
  out.hardness = worst(&StationBands::hardness);
  if (out.hardness.verdict != Verdict::not_asked) {
    out.oven = chance_of(c_, nominal, hard);
    out.hardness.passing = out.oven.here;
    out.hardness.verdict = hardness_verdict_of(out.oven, out.hardness.failing);
    for (StationBands& s : out.stations)
      if (s.hardness.verdict != Verdict::not_asked)
        s.hardness.verdict = hardness_verdict_of(
            {s.hardness.passing, std::max(s.hardness.passing, out.oven.best), out.oven.best_degC},
            s.hardness.failing);
  }
  if (settings_.keep_members)
    out.sample = changes_;
  return out;
}

Bands bands(const Case& given, const Answers& nominal, const BandSettings& settings, Executor& executor,
            const BandProgress& progress) {
  const Draws draws(given, Draws::Stated::of(nominal), settings);
  const std::size_t n = draws.pieces() - 1;
  std::vector<std::vector<double>> pieces(n + 1);
  std::vector<std::string> failures(n + 1);
  const auto work = [&](std::size_t i) {
    try {
      pieces[i] = draws.piece(i);
    } catch (const treatment::SolverError& e) {
      if (i == n)
        throw;
      failures[i] = e.what();
    }
  };
  const Executor::GoOn go_on = [&](std::size_t done) {
    return !progress || progress(static_cast<double>(done) / static_cast<double>(n + 1));
  };
  executor.for_each_index(n + 1, work, go_on);
  const auto first =
      std::find_if(failures.begin(), failures.end(), [](const std::string& f) { return !f.empty(); });
  return draws.reduce(nominal, std::move(pieces), first == failures.end() ? "" : *first);
}

} // namespace tq::answers
