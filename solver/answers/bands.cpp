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

/// The value below which the share q of the sorted values lies, between neighbours by the straight line.
double quantile(const std::vector<double>& sorted, double q) {
  const double at =
      std::clamp(q * static_cast<double>(sorted.size()) - 0.5, 0.0, static_cast<double>(sorted.size() - 1));
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
enum Judged : std::size_t { austenite, carbon, transformed, tempered_HRC, judged_count };

/// Everything that the bands need of these answers: by station its figures and whether its soak passes, then
/// by zone its figures and what is judged.
std::vector<double> packed(const std::vector<StationAnswer>& stations) {
  std::vector<double> out;
  for (const StationAnswer& station : stations) {
    for (const Figure& figure : answers::figures())
      if (drawn_of_station(figure))
        out.push_back(of_station(figure, station));
    out.push_back(station.soak.verdict == Verdict::pass ? 1 : 0);
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

/// `at`: where the station begins in the packed answers; left behind its end.
StationBands station_bands(const Case& c, const Gathered& all, const StationAnswer& nominal,
                           const std::vector<double>& fine, const std::vector<double>& coarse,
                           std::size_t& at) {
  StationBands out;
  out.name = nominal.name;
  for (const Figure& figure : answers::figures())
    if (drawn_of_station(figure)) {
      if (auto band = band_of(figure, all, fine, coarse, at))
        out.figures.push_back(std::move(*band));
      ++at;
    }
  const std::size_t soak_passes = at++;
  const bool soaked = nominal.soak.verdict != Verdict::not_asked;
  const bool hardened = nominal.quench.verdict != Verdict::not_asked;
  const bool wished = nominal.hardness.verdict != Verdict::not_asked;
  const std::size_t n = all.members.size();
  std::vector<char> soak(n, 1), quench(n, 1), hardness(n, 1);
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
    const auto verdict = [&](bool asked, std::vector<char>& of_station, const auto& passes) {
      if (!asked)
        return BandedVerdict{};
      for (std::size_t m = 0; m < n; ++m)
        of_station[m] = static_cast<char>(of_station[m] != 0 && passes(m));
      return banded(all, passes);
    };
    zone.soak = verdict(soaked, soak, [&](std::size_t m) {
      const double* of = &all.members[m][judged];
      return of[austenite] >= c.thresholds.austenite_least &&
             of[carbon] >= c.steel.austenitising.carbon_wanted_wt;
    });
    const auto moved = [&](std::size_t m, Judged what, Nature nature, double least, double most) {
      const std::size_t k = judged + what;
      return corrected(all.members[m][k], fine[k], coarse[k], nature, least, most);
    };
    zone.hardens = verdict(hardened && wanted != treatment::Wanted::either, quench, [&](std::size_t m) {
      return zone_verdict(c, wanted, moved(m, transformed, Nature::ratio, 0, 1)) == Verdict::pass;
    });
    zone.hardness = verdict(wished && wanted == treatment::Wanted::hard, hardness, [&](std::size_t m) {
      const double hrc = moved(m, tempered_HRC, Nature::difference, -inf, inf);
      return hrc >= c.wishes.hrc_from && hrc <= c.wishes.hrc_to;
    });
  }
  if (soaked) // too hot or too short a soak is no matter of one zone
    out.soak = banded(all, [&](std::size_t m) { return soak[m] != 0 && all.members[m][soak_passes] != 0; });
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

Draws::Stated Draws::Stated::of(const Answers& nominal) {
  Stated out{nominal.stations.front().timer_used_s, {}};
  for (const StationAnswer& s : nominal.stations)
    out.spare_s.push_back(least_transfer_to_spare(s));
  return out;
}

Draws::Draws(const Case& c, const Stated& stated, const BandSettings& settings)
    : c_(c), settings_(settings), spare_s_(stated.spare_s), n_(static_cast<std::size_t>(settings.members)) {
  if (c_.heated() && !c_.furnace().timer_s) {
    c_.furnace().timer_s = stated.timer_used_s;
    c_.furnace().timer_start = treatment::TimerStart::door;
  }
  inputs_ = uncertain_inputs(c_);
  const std::size_t d = inputs_.size();
  points_ = sample_points(n_, d, settings.seed);
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
  for (const StationAnswer& station : nominal.stations)
    out.stations.push_back(station_bands(c_, all, station, fine, coarse, at));
  const auto worst = [&](BandedVerdict StationBands::*which) {
    const StationBands* found = &out.stations.front();
    for (const StationBands& s : out.stations)
      if (std::isnan((found->*which).passing) || (s.*which).passing < (found->*which).passing)
        found = &s;
    return found->*which;
  };
  out.soak = worst(&StationBands::soak);
  out.quench = worst(&StationBands::quench);
  out.hardness = worst(&StationBands::hardness);
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
