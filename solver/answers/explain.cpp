#include "answers/explain.hpp"

#include "answers/coarse_case.hpp"
#include "answers/sampling.hpp"
#include "records/document.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <stdexcept>

namespace tq::answers {

using records::InputError;
using treatment::Case;
using treatment::Part;
using treatment::zone_count;

namespace {

constexpr double file_sd_HRC =
    2 / normal_half_90; ///< hands and files differ by two points (steel/reading.hpp)
/// How much likelier than any one fault it is, before any reading, that nothing went wrong; assumption.
constexpr double nothing_wrong = 5;
constexpr double bare_skin = 5; ///< how much likelier a soft skin is on a blade heated bare; assumption

double between(double from, double to, double size) { return from + (to - from) * size; }

/// A fault as the program knows it. Ranges and weights: assumption, from common practice, no source.
struct Known {
  const char *key, *name, *test, *remedy;
  bool stays;
  Part from;       ///< first stage it acts on; temper for those that act on the reading alone
  bool on_reading; ///< acts on tester and file, not on the blade
  bool (*matters)(const Case&);
  void (*apply)(Case&, double size);
};

bool heated(const Case& c) { return c.heated(); }
bool any(const Case&) { return true; }

const std::vector<Known>& known_faults() {
  static const std::vector<Known> all = {
      {"none", "nothing beyond what the case doubts", "read once more, elsewhere and on a test block",
       "nothing to cure; see what the next blade will have", true, Part::temper, false, any,
       [](Case&, double) {}},
      {"cold_furnace", "the furnace is 15 to 60 K colder than it shows",
       "a second thermocouple beside the blade; at the setting a magnet must no longer hold",
       "set the furnace higher by what it is off", true, Part::furnace, false, heated,
       [](Case& c, double s) { c.furnace().reading_offset_K -= between(15, 60, s); }},
      {"hot_furnace", "the furnace is 15 to 60 K hotter than it shows: austenite left over",
       "the hour after, into a freezer or dry ice: then it reads harder; look at the grain of a broken "
       "coupon",
       "set the furnace lower by what it is off", true, Part::furnace, false, heated,
       [](Case& c, double s) { c.furnace().reading_offset_K += between(15, 60, s); }},
      {"short_soak", "it came out before it was soaked: 20 to 80 % of the time from the door was missing",
       "harden it once more with the full timer: then it is hard",
       "count from closing the door, with the timer", false, Part::furnace, false, heated,
       [](Case& c, double s) {
         if (c.furnace().timer_s)
           *c.furnace().timer_s *= 1 - between(0.2, 0.8, s);
       }},
      {"slow_transfer", "the way to the bath took 2 to 15 s longer",
       "have somebody time it, or film it; edge and tip are softer than the spine",
       "tongs and bath ready, foil cut at the furnace", false, Part::transfer, false,
       [](const Case& c) { return c.carried() && c.quenched(); },
       [](Case& c, double s) { c.transfer().time_s += between(2, 15, s); }},
      {"slow_oil", "the bath takes heat 1.4 to 4 times as slowly: old, cold, unmoved or another oil",
       "quench a thin and a thick coupon in it: the thin one is hard; or its cooling curve (`oil`)",
       "warm it to its range, move the blade, or take a faster oil", true, Part::bath, false,
       [](const Case& c) {
         return c.quenched() && (c.bath().fixed_htc_W_m2K > 0 || !c.bath().coolant.htc_W_m2K.empty());
       },
       [](Case& c, double s) {
         const double factor = 1 / (1.4 * std::pow(4 / 1.4, s));
         c.bath().fixed_htc_W_m2K *= factor;
         for (double& h : c.bath().coolant.htc_W_m2K.y)
           h *= factor;
       }},
      {"wide_foil", "the foil that stayed on stood off by 3 to 10 times the gap",
       "foil stripped before the bath on a coupon: then it is hard", "press the packet, or strip it", false,
       Part::furnace, false, [](const Case& c) { return c.wrap.layers > 0 && c.wrap.on_in_oil; },
       [](Case& c, double s) {
         const double factor = 3 * std::pow(10.0 / 3, s);
         for (double& gap : c.wrap.gap_m)
           gap *= factor;
       }},
      {"hot_oven", "the tempering oven is 20 to 60 K hotter than it shows",
       "a thermometer beside the blade over a whole cycle; or temper a coupon",
       "set the oven lower by what it is off", true, Part::temper, false,
       [](const Case& c) { return c.tempered(); },
       [](Case& c, double s) {
         c.for_each_oven([&](treatment::Oven& o) { o.oven_degC += between(20, 60, s); });
       }},
      {"low_carbon", "the bar holds 0.1 to 0.3 %C less than its name says",
       "spark it beside a bar that is known; the mill's certificate", "another bar", true, Part::furnace,
       false, any,
       [](Case& c, double s) {
         double& C = c.steel.composition.C;
         C = std::max(0.5 * C, C - between(0.1, 0.3, s));
       }},
      {"soft_skin", "the skin lost its carbon: it reads 2 to 15 HRC too low, what lies below is sound",
       "grind off 0.1 to 0.2 mm per side and read again: then it is hard", "grind deeper, wrap it tighter",
       false, Part::temper, true, any, [](Case&, double) {}},
      {"bad_place", "the tester stood on a thin, tapered or hollow place: 1 to 6 HRC too low",
       "read the flat of the tang, and a test block", "believe no reading on a bevel", false, Part::temper,
       true, any, [](Case&, double) {}},
  };
  return all;
}

const Known& known(const std::string& key) {
  for (const Known& k : known_faults())
    if (key == k.key)
      return k;
  throw std::logic_error("no such fault: " + key);
}

FaultSample::Draw hardness_of(const StationOutcome& s) {
  FaultSample::Draw d;
  d.sound = true;
  for (std::size_t z = 0; z < zone_count; ++z) {
    d.quenched[z] = s.zones[z].as_quenched_HRC;
    d.tempered[z] = s.zones[z].tempered_HRC;
  }
  return d;
}

double normal_share(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

/// Share of the weight below a value, by bisection: weighted normal distributions of one width.
struct Mixture {
  std::vector<double> weight, middle;
  double sd = 0;

  double below(double value) const {
    double sum = 0;
    for (std::size_t i = 0; i < weight.size(); ++i)
      sum += weight[i] * (sd > 0 ? normal_share((value - middle[i]) / sd) : value >= middle[i] ? 1 : 0);
    return sum;
  }
  double quantile(double q) const {
    double low = 1e9, high = -1e9, total = 0;
    for (std::size_t i = 0; i < weight.size(); ++i)
      if (weight[i] > 0) {
        low = std::min(low, middle[i] - 6 * sd);
        high = std::max(high, middle[i] + 6 * sd);
        total += weight[i];
      }
    if (!(total > 0))
      return ZoneOutcome::none;
    constexpr int halvings = 60;
    for (int k = 0; k < halvings; ++k) {
      const double middle_of = 0.5 * (low + high);
      (below(middle_of) < q * total ? low : high) = middle_of;
    }
    return 0.5 * (low + high);
  }
  Forecast forecast() const { return {quantile(0.5), quantile(0.05), quantile(0.95)}; }
};

/// The doubt that moves all readings of one kind alike, after the readings of a draw: normal, in closed form.
struct CommonShift {
  double precision = 0, pull = 0; ///< 1 / variance, and precision times mean
  double log_likelihood = 0;

  CommonShift(double sd, const std::vector<double>& misses, double tester_sd) {
    // marginal of n misses with covariance tester^2 I + sd^2 1 1'
    const double n = static_cast<double>(misses.size()), t2 = tester_sd * tester_sd, s2 = sd * sd;
    double sum = 0, squares = 0;
    for (const double miss : misses) {
      sum += miss;
      squares += miss * miss;
    }
    const double whole = t2 + n * s2;
    log_likelihood = -0.5 * (squares / t2 - s2 * sum * sum / (t2 * whole)) -
                     0.5 * ((n - 1) * std::log(t2) + std::log(whole)) * (n > 0 ? 1 : 0);
    precision = s2 > 0 ? 1 / s2 + n / t2 : std::numeric_limits<double>::infinity();
    pull = s2 > 0 ? sum / t2 : 0;
  }
  double mean() const { return std::isfinite(precision) ? pull / precision : 0; }
  double variance() const { return std::isfinite(precision) ? 1 / precision : 0; }
};

} // namespace

void apply_fault(Case& c, const std::string& key, double size) { known(key).apply(c, size); }

double reading_error(const FaultSample& sample, const Reading& reading, const std::string& key, double size,
                     std::size_t zone, bool by_file) {
  if (key == "soft_skin")
    return reading.ground ? 0 : between(2, 15, size);
  if (key == "bad_place")
    return by_file || sample.tester_valid[zone] ? 0 : between(1, 6, size);
  return 0;
}

namespace {

/// Those that may be in this case, with their weights.
std::vector<Fault> weighed_faults(const Case& c) {
  std::vector<Fault> out;
  double weights = 0;
  for (const Known& k : known_faults())
    if (k.matters(c)) {
      const bool bare = c.wrap.layers == 0 && !c.surface.painted && c.heated();
      const double weight = std::string(k.key) == "none"                ? nothing_wrong
                            : std::string(k.key) == "soft_skin" && bare ? bare_skin
                                                                        : 1;
      out.push_back({k.key, k.name, k.test, k.remedy, k.stays, weight});
      weights += weight;
    }
  for (Fault& f : out)
    f.weight /= weights;
  return out;
}

/// Whether a tester may stand at this distance from the spine.
bool tester_holds(const Case& c, const FaultSample::Draw& stated, std::size_t z, double x_m) {
  const auto places =
      steel::rockwell_places(c.blade.stations.front().profile,
                             std::isfinite(stated.tempered[z]) ? stated.tempered[z] : stated.quenched[z]);
  return places.valid.exists() && x_m >= places.valid.from_m && x_m <= places.valid.to_m;
}

/// A draw on the coarse grid as it would be on the fine one, by what both say of the case as stated.
FaultSample::Draw on_fine_grid(FaultSample::Draw draw, const FaultSample::Draw& fine,
                               const FaultSample::Draw& coarse) {
  constexpr double inf = std::numeric_limits<double>::infinity();
  for (std::size_t z = 0; z < zone_count; ++z) {
    draw.quenched[z] =
        corrected(draw.quenched[z], fine.quenched[z], coarse.quenched[z], Nature::difference, -inf, inf);
    draw.tempered[z] =
        corrected(draw.tempered[z], fine.tempered[z], coarse.tempered[z], Nature::difference, -inf, inf);
  }
  return draw;
}

/// Hardness per kelvin of the oven.
double oven_slope(const Trial& coarse) {
  constexpr double step_K = 10;
  std::array<double, 2> hrc{};
  for (const std::size_t k : {0U, 1U}) {
    const auto off = coarse.twin();
    off->change(Part::temper, [&](Case& t) {
      t.for_each_oven([&](treatment::Oven& o) { o.oven_degC += k == 0 ? -step_K : step_K; });
    });
    hrc[k] = off->outcome().tempered_least_HRC();
  }
  return (hrc[1] - hrc[0]) / (2 * step_K);
}

} // namespace

FaultSample draw_faults(const Case& given, std::size_t station, Executor& executor, int members,
                        std::uint64_t seed, const std::function<bool(double)>& go_on) {
  if (given.steel.inert)
    throw InputError("explain: the case's steel does not transform, so no reading says anything of it");
  if (!given.quenched())
    throw InputError("explain: the case has no bath stage, so it has no hardness to explain");
  Case c = Trial(given).settings(); // with its timer
  const std::vector<treatment::Station> all = c.blade.stations;
  c.blade.stations = {all.at(station)};
  FaultSample out;
  out.station = station;
  out.members = static_cast<std::size_t>(members);
  out.inputs = uncertain_inputs(c);
  out.faults = weighed_faults(c);

  const std::size_t d = out.inputs.size();
  const std::vector<double> points = sobol_points(out.members, d + 1, seed);
  out.draws.assign(out.faults.size(), std::vector<FaultSample::Draw>(out.members));
  out.sizes.assign(out.faults.size(), std::vector<double>(out.members));
  out.scores.resize(out.members * d);
  for (std::size_t i = 0; i < d; ++i) {
    const double sd = out.inputs[i].distribution.quantile(0.95) / normal_half_90;
    if (out.inputs[i].key == "fresh_hardness")
      out.fresh_sd_HRC = sd;
    if (out.inputs[i].key == "temper_curve")
      out.curve_sd_HRC = sd;
  }

  Trial fine(c);
  fine.outcome();
  Trial coarse(coarse_case(c));
  coarse.outcome();
  out.stated = hardness_of(fine.outcome().stations.front());
  const FaultSample::Draw rough = hardness_of(coarse.outcome().stations.front());
  for (std::size_t z = 0; z < zone_count; ++z)
    out.tester_valid[z] = tester_holds(c, out.stated, z, fine.outcome().stations.front().zones[z].x_m);
  if (c.tempered())
    out.oven_slope_HRC_per_K = oven_slope(coarse);

  // each member: its inputs, then every fault from the stage on at which it acts
  const auto work = [&](std::size_t m) {
    std::vector<double> changes(d);
    for (std::size_t i = 0; i < d; ++i) {
      const double u = points[m * (d + 1) + i];
      out.scores[m * d + i] = normal_quantile(u);
      // counted in closed form in explain()
      changes[i] = out.inputs[i].key == "temper_curve" ? out.inputs[i].distribution.middle()
                                                       : out.inputs[i].distribution.quantile(u);
    }
    Trial base(coarse_case(perturbed(c, out.inputs, changes.data())));
    for (std::size_t f = 0; f < out.faults.size(); ++f) {
      const Known& fault = known(out.faults[f].key);
      // another place in its range for each fault of a member
      const double size =
          std::fmod(points[m * (d + 1) + d] + 0.618033988749895 * static_cast<double>(f), 1.0);
      out.sizes[f][m] = size;
      try {
        if (f == 0 || fault.on_reading) {
          out.draws[f][m] = on_fine_grid(hardness_of(base.outcome().stations.front()), out.stated, rough);
          continue;
        }
        const auto trial = base.twin();
        trial->change(fault.from, [&](Case& changed) { fault.apply(changed, size); });
        out.draws[f][m] = on_fine_grid(hardness_of(trial->outcome().stations.front()), out.stated, rough);
      } catch (const treatment::SolverError&) {
        out.draws[f][m].sound = false;
      }
    }
  };
  executor.for_each_index(out.members, work, [&](std::size_t done) {
    return !go_on || go_on(static_cast<double>(done) / static_cast<double>(out.members));
  });
  return out;
}

namespace {

void check(const FaultSample& sample, const Reading& reading) {
  if (reading.hardness.empty() && !reading.file)
    throw InputError("explain: no reading is given");
  for (const HardnessReading& r : reading.hardness) {
    if (r.hrc < 0 || r.hrc > 70)
      throw InputError("explain: a reading of " + std::to_string(r.hrc) + " HRC; allowed: 0 to 70");
    if (r.tempered && !std::isfinite(sample.stated.tempered[r.zone]))
      throw InputError("explain: the case has no temper, so nothing was read after it");
  }
}

/// Whether any of the readings can feel the fault; one that none can is not up for judgement.
bool felt(const FaultSample& sample, const Reading& reading, const Fault& f) {
  const auto any_reading = [&](auto&& of) {
    return std::any_of(reading.hardness.begin(), reading.hardness.end(), of);
  };
  if (f.key == "hot_oven")
    return any_reading([](const HardnessReading& r) { return r.tempered; });
  if (f.key == "bad_place")
    return any_reading([&](const HardnessReading& r) { return !sample.tester_valid[r.zone]; });
  return f.key != "soft_skin" || !reading.ground;
}

/// The draws of a sample, each with the weight that the readings give it.
class WeighedDraws {
 public:
  WeighedDraws(const FaultSample& sample, const Reading& reading)
      : sample_(sample), reading_(reading), tester_sd_(reading.tester_HRC / normal_half_90),
        faults_(sample.faults.size()), members_(sample.members), all_(faults_ * members_) {
    for (std::size_t f = 0; f < faults_; ++f)
      for (std::size_t m = 0; m < members_; ++m)
        weigh(f, m);
    double sum = 0;
    for (Weighed& w : all_) {
      w.weight = std::exp(w.log_weight - best_);
      sum += w.weight;
    }
    for (Weighed& w : all_)
      w.weight /= sum;
  }

  double farthest() const { return farthest_; }
  std::vector<Explanation::Cause> causes() const;
  std::vector<Explanation::Shift> shifts() const;
  Forecast forecast(bool tempered, std::size_t zone, bool after, double more_sd) const;

 private:
  struct Weighed {
    double log_weight = -std::numeric_limits<double>::infinity(), weight = 0;
    double fresh = 0, curve = 0; ///< what the readings say of the two common doubts
  };

  void weigh(std::size_t f, std::size_t m) {
    const FaultSample::Draw& draw = sample_.draws[f][m];
    if (!draw.sound || !felt(sample_, reading_, sample_.faults[f]))
      return;
    const auto error = [&](std::size_t zone, bool by_file) {
      return reading_error(sample_, reading_, sample_.faults[f].key, sample_.sizes[f][m], zone, by_file);
    };
    std::vector<double> fresh, curve;
    double squares = 0;
    for (const HardnessReading& r : reading_.hardness) {
      const double miss =
          r.hrc - ((r.tempered ? draw.tempered : draw.quenched)[r.zone] - error(r.zone, false));
      (r.tempered ? curve : fresh).push_back(miss);
      const double doubt = r.tempered ? sample_.curve_sd_HRC : sample_.fresh_sd_HRC;
      squares += miss * miss / (tester_sd_ * tester_sd_ + doubt * doubt);
    }
    const CommonShift a(sample_.fresh_sd_HRC, fresh, tester_sd_), t(sample_.curve_sd_HRC, curve, tester_sd_);
    fresh_variance_ = a.variance();
    curve_variance_ = t.variance();
    Weighed& w = all_[f * members_ + m];
    w.fresh = a.mean();
    w.curve = t.mean();
    w.log_weight = std::log(sample_.faults[f].weight) + a.log_likelihood + t.log_likelihood;
    if (reading_.file)
      squares += weigh_file(w, draw.quenched[treatment::zone_edge] - error(treatment::zone_edge, true),
                            a.variance());
    best_ = std::max(best_, w.log_weight);
    const auto n = static_cast<double>(reading_.hardness.size() + (reading_.file ? 1 : 0));
    farthest_ = std::min(farthest_, std::sqrt(squares / n));
  }
  /// What the file says; returns how far off the draw is, squared.
  double weigh_file(Weighed& w, double edge_HRC, double variance) const {
    const double hrc = edge_HRC + w.fresh;
    const double sd = std::sqrt(file_sd_HRC * file_sd_HRC + variance);
    const double skates = normal_share((hrc - steel::file_skates_HRC) / sd),
                 bites = normal_share((steel::file_bites_HRC - hrc) / sd);
    const double p = *reading_.file == steel::FileFeel::skates  ? skates
                     : *reading_.file == steel::FileFeel::bites ? bites
                                                                : std::max(0.0, 1 - skates - bites);
    constexpr double least = 1e-12;
    w.log_weight += std::log(std::max(p, least));
    return p < 0.5 ? std::pow(normal_quantile(std::max(p, least)), 2) : 0;
  }

  const FaultSample& sample_;
  const Reading& reading_;
  double tester_sd_;
  std::size_t faults_, members_;
  std::vector<Weighed> all_; ///< fault by fault
  double fresh_variance_ = 0, curve_variance_ = 0;
  double best_ = -std::numeric_limits<double>::infinity(),
         farthest_ = std::numeric_limits<double>::infinity();
};

std::vector<Explanation::Cause> WeighedDraws::causes() const {
  std::vector<Explanation::Cause> out;
  for (std::size_t f = 0; f < faults_; ++f) {
    double p = 0;
    for (std::size_t m = 0; m < members_; ++m)
      p += all_[f * members_ + m].weight;
    if (felt(sample_, reading_, sample_.faults[f]))
      out.push_back({f, p});
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const auto& x, const auto& y) { return x.probability > y.probability; });
  return out;
}

std::vector<Explanation::Shift> WeighedDraws::shifts() const {
  std::vector<Explanation::Shift> out;
  // a middle moves by chance where few draws carry the weight: twice that is told at least
  double squares_of_weights = 0;
  for (std::size_t m = 0; m < members_; ++m) {
    double of_member = 0;
    for (std::size_t f = 0; f < faults_; ++f)
      of_member += all_[f * members_ + m].weight;
    squares_of_weights += of_member * of_member;
  }
  const double by_chance = 2 * std::sqrt(squares_of_weights) / normal_half_90;
  const std::size_t d = sample_.inputs.size();
  for (std::size_t i = 0; i < d; ++i) {
    double moved = 0;
    const double doubt = sample_.inputs[i].key == "fresh_hardness" ? sample_.fresh_sd_HRC
                         : sample_.inputs[i].key == "temper_curve" ? sample_.curve_sd_HRC
                                                                   : 0;
    for (std::size_t f = 0; f < faults_; ++f)
      for (std::size_t m = 0; m < members_; ++m) {
        const Weighed& w = all_[f * members_ + m];
        moved += w.weight * (doubt <= 0                                  ? sample_.scores[m * d + i]
                             : sample_.inputs[i].key == "fresh_hardness" ? w.fresh / doubt
                                                                         : w.curve / doubt);
      }
    constexpr double worth_telling = 0.25; // of the half-width
    if (std::abs(moved) / normal_half_90 >= std::max(worth_telling, doubt > 0 ? 0 : by_chance))
      out.push_back({sample_.inputs[i].name, moved / normal_half_90});
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const auto& x, const auto& y) { return std::abs(x.moved) > std::abs(y.moved); });
  return out;
}

/// Before: nothing known but the weights of the faults; after: what stays of each draw, the rest as it should
/// be.
Forecast WeighedDraws::forecast(bool tempered, std::size_t zone, bool after, double more_sd) const {
  Mixture mix;
  const double doubt = tempered ? sample_.curve_sd_HRC : sample_.fresh_sd_HRC;
  const double variance = after ? (tempered ? curve_variance_ : fresh_variance_) : doubt * doubt;
  mix.sd = std::sqrt(variance + more_sd * more_sd);
  for (std::size_t f = 0; f < faults_; ++f)
    for (std::size_t m = 0; m < members_; ++m) {
      const Weighed& w = all_[f * members_ + m];
      // before a reading_, a case is as it says; a fault is what a reading_ brings up
      const double weight = after ? w.weight : f == 0 ? 1.0 : 0.0;
      const FaultSample::Draw& draw = sample_.draws[sample_.faults[f].stays ? f : 0][m];
      const double hrc = (tempered ? draw.tempered : draw.quenched)[zone];
      if (weight <= 0 || !draw.sound || std::isnan(hrc))
        continue;
      mix.weight.push_back(weight);
      mix.middle.push_back(hrc + (after ? (tempered ? w.curve : w.fresh) : 0));
    }
  return mix.forecast();
}

} // namespace

Explanation explain(const Case& c, const FaultSample& sample, const Reading& reading) {
  check(sample, reading);
  const WeighedDraws draws(sample, reading);
  Explanation out;
  out.farthest = draws.farthest();
  out.causes = draws.causes();
  out.shifts = draws.shifts();
  for (const HardnessReading& r : reading.hardness)
    out.expected.push_back(draws.forecast(r.tempered, r.zone, false, reading.tester_HRC / normal_half_90));
  out.next_zone =
      reading.hardness.empty() ? std::size_t{treatment::zone_edge} : reading.hardness.front().zone;
  out.quenched_before = draws.forecast(false, out.next_zone, false, 0);
  out.quenched_after = draws.forecast(false, out.next_zone, true, 0);
  out.tempered_before = draws.forecast(true, out.next_zone, false, 0);
  out.tempered_after = draws.forecast(true, out.next_zone, true, 0);
  const double slope = sample.oven_slope_HRC_per_K;
  if (c.wishes.hrc_to > 0 && std::isfinite(out.tempered_after.middle) && slope < 0) {
    constexpr double rung_K = 5, farthest_K = 60;
    const double wanted = 0.5 * (c.wishes.hrc_from + c.wishes.hrc_to);
    const double change = (wanted - out.tempered_after.middle) / slope;
    if (std::abs(change) <= farthest_K)
      out.oven_degC = rung_K * std::floor((c.oven().oven_degC + change) / rung_K + 1e-9);
  }
  return out;
}

} // namespace tq::answers
