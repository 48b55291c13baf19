#include "answers/bands.hpp"

#include "answers/coarse_case.hpp"
#include "answers/figures.hpp"
#include "answers/variance_shares.hpp"
#include "answers/wanted.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

namespace tq::answers {

using treatment::Case;
using treatment::Part;

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double inf = std::numeric_limits<double>::infinity();
constexpr double least_share_told = 0.01;

/// The value below which a further draw lies with probability q: the k-th of n sorted values has k / (n + 1)
/// of the mass below it on average, whatever the distribution (Weibull 1939; Makkonen 2006, J. Appl.
/// Meteorol. Climatol. 45, 334-340). Between neighbours by the straight line.
double quantile(const std::vector<double>& sorted, double q) {
  const double at =
      std::clamp(q * static_cast<double>(sorted.size() + 1) - 1, 0.0, static_cast<double>(sorted.size() - 1));
  const auto low = static_cast<std::size_t>(at);
  const std::size_t high = std::min(low + 1, sorted.size() - 1);
  if (sorted[low] == sorted[high])
    return sorted[low];
  return std::isfinite(sorted[high])
             ? sorted[low] + (at - static_cast<double>(low)) * (sorted[high] - sorted[low])
             : sorted[high];
}

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

/// What the members have in common while their figures are gathered.
struct Gathered {
  std::vector<std::vector<StationAnswer>> members; ///< those that came through
  std::vector<std::size_t> numbers;                ///< their numbers in the sample
  const VarianceShares& shares;
  std::size_t drawn; ///< members, failed ones included
  bool keep;
};

/// The band of one figure; nothing when neither the point answer nor a member has it.
template <class Of, class Pick>
std::optional<Band> band_of(const Figure& figure, double (*value)(const Of&), const Gathered& all,
                            const Of& fine_one, const Of& coarse_one, const Pick& member) {
  const Spread& spread = figure.spread;
  const double fine = value(fine_one), coarse = value(coarse_one);
  Band band;
  band.key = figure.meaning.name;
  band.nominal = fine;
  std::vector<double> values, sorted;
  bool plain = true;
  for (const auto& one : all.members) {
    const double v = corrected(value(member(one)), fine, coarse, spread.nature, spread.least, spread.most);
    values.push_back(v);
    plain = plain && std::isfinite(v);
    if (!std::isnan(v))
      sorted.push_back(v);
  }
  if (sorted.empty())
    return std::nullopt;
  band.known = static_cast<double>(sorted.size()) / static_cast<double>(values.size());
  if (spread.absent_is_never)
    sorted.resize(values.size(), inf);
  std::sort(sorted.begin(), sorted.end());
  band.low = quantile(sorted, 0.05);
  band.middle = quantile(sorted, 0.5);
  band.high = quantile(sorted, 0.95);
  if (band.high > band.low)
    band.causes =
        causes_of(all.shares, plain && spread.nature == Nature::difference ? values : ranks(values));
  if (all.keep) {
    band.members.assign(all.drawn, nan);
    for (std::size_t m = 0; m < values.size(); ++m)
      band.members[all.numbers[m]] = values[m];
  }
  return band;
}

/// The share of members for which `passes` holds.
template <class Passes>
BandedVerdict banded(const Gathered& all, const Passes& passes) {
  std::vector<double> y;
  double sum = 0;
  for (std::size_t m = 0; m < all.members.size(); ++m) {
    y.push_back(passes(m) ? 1 : 0);
    sum += y.back();
  }
  BandedVerdict v;
  v.passing = sum / static_cast<double>(y.size());
  v.verdict = verdict_of(v.passing);
  v.causes = causes_of(all.shares, y);
  return v;
}

StationBands station_bands(const Case& c, const Gathered& all, std::size_t station, const StationAnswer& fine,
                           const StationAnswer& coarse) {
  StationBands out;
  out.name = fine.name;
  for (const Figure& figure : answers::figures()) {
    if (!figure.spread.drawn || figure.of_station == nullptr)
      continue;
    const auto member = [&](const std::vector<StationAnswer>& m) -> const StationAnswer& {
      return m[station];
    };
    if (auto band = band_of(figure, figure.drawn != nullptr ? figure.drawn : figure.of_station, all, fine,
                            coarse, member))
      out.figures.push_back(std::move(*band));
  }
  const bool soaked = fine.soak.verdict != Verdict::not_asked;
  const bool hardened = fine.quench.verdict != Verdict::not_asked;
  const bool wished = fine.hardness.verdict != Verdict::not_asked;
  const std::size_t n = all.members.size();
  std::vector<char> soak(n, 1), quench(n, 1), hardness(n, 1);
  for (std::size_t z = 0; z < out.zones.size(); ++z) {
    ZoneBands& zone = out.zones[z];
    const ZoneAnswer &f = fine.zones[z], &k = coarse.zones[z];
    zone.name = f.name;
    const auto member = [&](const std::vector<StationAnswer>& m) -> const ZoneAnswer& {
      return m[station].zones[z];
    };
    for (const Figure& figure : answers::figures())
      if (figure.spread.drawn && figure.of_zone != nullptr)
        if (auto band = band_of(figure, figure.of_zone, all, f, k, member))
          zone.figures.push_back(std::move(*band));
    const auto verdict = [&](bool asked, std::vector<char>& of_station, const auto& passes) {
      if (!asked)
        return BandedVerdict{};
      for (std::size_t m = 0; m < n; ++m)
        of_station[m] = static_cast<char>(of_station[m] != 0 && passes(m));
      return banded(all, passes);
    };
    zone.soak = verdict(soaked, soak, [&](std::size_t m) {
      const ZoneAnswer& a = member(all.members[m]);
      return a.austenite >= c.thresholds.austenite_least &&
             a.carbon_in_solution >= c.steel.austenitising.carbon_wanted_wt;
    });
    zone.hardens = verdict(hardened && f.wanted != treatment::Wanted::either, quench, [&](std::size_t m) {
      return zone_verdict(c, f.wanted,
                          corrected(member(all.members[m]).transformed, f.transformed, k.transformed,
                                    Nature::ratio, 0, 1)) == Verdict::pass;
    });
    zone.hardness = verdict(wished && f.wanted == treatment::Wanted::hard, hardness, [&](std::size_t m) {
      const double hrc = corrected(member(all.members[m]).tempered_HRC, f.tempered_HRC, k.tempered_HRC,
                                   Nature::difference, -inf, inf);
      return hrc >= c.wishes.hrc_from && hrc <= c.wishes.hrc_to;
    });
  }
  if (soaked) // too hot or too short a soak is no matter of one zone
    out.soak = banded(all, [&](std::size_t m) {
      return soak[m] != 0 && all.members[m][station].soak.verdict == Verdict::pass;
    });
  if (hardened)
    out.quench = banded(all, [&](std::size_t m) { return quench[m] != 0; });
  if (wished)
    out.hardness = banded(all, [&](std::size_t m) { return hardness[m] != 0; });
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

Verdict verdict_of(double passing) {
  return passing >= passing_for_pass ? Verdict::pass
                                     : (passing >= passing_for_marginal ? Verdict::marginal : Verdict::fail);
}

const Band* ZoneBands::find(const std::string& key) const { return found(figures, key); }
const Band* StationBands::find(const std::string& key) const { return found(figures, key); }

Answers judged_by(const Answers& stated, const Bands& bands) {
  Answers out = stated;
  out.draws = bands.members;
  const auto judge = [&](Judgement& j, const BandedVerdict& v) {
    if (j.verdict == Verdict::not_asked || v.verdict == Verdict::not_asked)
      return;
    char share[80];
    std::snprintf(share, sizeof share, "%.0f %% of the draws pass", std::floor(100 * v.passing + 1e-9));
    std::string text = share, names;
    constexpr std::size_t causes_told = 2;
    constexpr double worth_telling = 0.05;
    if (v.verdict != Verdict::pass)
      for (std::size_t k = 0; k < std::min(causes_told, v.causes.size()); ++k)
        if (v.causes[k].share >= worth_telling)
          names += (names.empty() ? ", the others fail mostly by " : " and ") +
                   bands.inputs.at(v.causes[k].input).name;
    text += names + "; as stated";
    if (v.verdict != j.verdict)
      text += std::string(" ") + verdict_name(j.verdict);
    j.reason = text + ": " + j.reason;
    j.before_draws = j.verdict;
    j.passing = v.passing;
    j.verdict = v.verdict;
  };
  judge(out.soak, bands.soak);
  judge(out.quench, bands.quench);
  judge(out.hardness, bands.hardness);
  for (std::size_t i = 0; i < std::min(out.stations.size(), bands.stations.size()); ++i) {
    StationAnswer& station = out.stations[i];
    const StationBands& drawn = bands.stations[i];
    judge(station.soak, drawn.soak);
    judge(station.quench, drawn.quench);
    judge(station.hardness, drawn.hardness);
    for (std::size_t z = 0; z < station.zones.size(); ++z)
      judge(station.zones[z].hardens, drawn.zones[z].hardens);
  }
  return out;
}

Bands bands(const Case& given, const Answers& nominal, const BandSettings& settings, Executor& executor,
            const BandProgress& progress) {
  Case c = given;
  if (c.heated() && !c.furnace().timer_s) {
    c.furnace().timer_s = nominal.stations.front().timer_used_s;
    c.furnace().timer_start = treatment::TimerStart::door;
  }
  Bands out;
  out.members = settings.members;
  out.seed = settings.seed;
  out.inputs = uncertain_inputs(c);
  const auto n = static_cast<std::size_t>(settings.members);
  const std::size_t d = out.inputs.size();
  const std::vector<double> points = sample_points(n, d, settings.seed);
  std::vector<double> changes(points.size());
  for (std::size_t i = 0; i < points.size(); ++i)
    changes[i] = out.inputs[i % d].distribution.quantile(points[i]);

  std::vector<double> spare_s;
  for (const StationAnswer& s : nominal.stations)
    spare_s.push_back(least_transfer_to_spare(s));
  std::vector<StationAnswer> coarse;
  std::vector<std::vector<StationAnswer>> members(n);
  std::vector<std::string> failures(n);
  const auto work = [&](std::size_t i) {
    if (i == n) {
      coarse = quick_answer(c, spare_s);
      return;
    }
    try {
      members[i] = member_answer(c, out.inputs, changes.data() + i * d, spare_s);
    } catch (const treatment::SolverError& e) {
      failures[i] = e.what();
    }
  };
  const Executor::GoOn go_on = [&](std::size_t done) {
    return !progress || progress(static_cast<double>(done) / static_cast<double>(n + 1));
  };
  executor.for_each_index(n + 1, work, go_on);

  std::vector<std::size_t> sound;
  for (std::size_t i = 0; i < n; ++i)
    if (failures[i].empty())
      sound.push_back(i);
    else if (out.failed++ == 0)
      out.first_failure = failures[i];
  if (2 * sound.size() < n)
    throw treatment::SolverError(
        "the solver gave up at more than half of the members of the bands; the first: " + out.first_failure);
  std::vector<double> sound_points, sound_changes;
  std::vector<std::vector<StationAnswer>> sound_members;
  for (const std::size_t i : sound) {
    const auto from = static_cast<std::ptrdiff_t>(i * d), to = static_cast<std::ptrdiff_t>((i + 1) * d);
    sound_points.insert(sound_points.end(), points.begin() + from, points.begin() + to);
    sound_changes.insert(sound_changes.end(), changes.begin() + from, changes.begin() + to);
    sound_members.push_back(std::move(members[i]));
  }
  const VarianceShares shares(sound.size(), d, sound_points, sound_changes);
  const Gathered all{std::move(sound_members), sound, shares, n, settings.keep_members};
  for (std::size_t s = 0; s < nominal.stations.size(); ++s)
    out.stations.push_back(station_bands(c, all, s, nominal.stations[s], coarse[s]));
  const auto worst = [&](BandedVerdict StationBands::*which) {
    const StationBands* at = &out.stations.front();
    for (const StationBands& s : out.stations)
      if (std::isnan((at->*which).passing) || (s.*which).passing < (at->*which).passing)
        at = &s;
    return at->*which;
  };
  out.soak = worst(&StationBands::soak);
  out.quench = worst(&StationBands::quench);
  out.hardness = worst(&StationBands::hardness);
  if (settings.keep_members)
    out.sample = std::move(changes);
  return out;
}

} // namespace tq::answers
