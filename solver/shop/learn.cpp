#include "shop/learn.hpp"

#include "answers/careful_timer.hpp"
#include "answers/sampling.hpp"
#include "answers/timer.hpp"
#include "answers/told_as_set.hpp"
#include "answers/uncertain_inputs.hpp"
#include "shop/coupon.hpp"
#include "shop/linearised.hpp"
#include "shop/readings.hpp"
#include "shop/stays.hpp"
#include "steel/temper.hpp"
#include "treatment/run.hpp"
#include "units/math.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::shop {
namespace {

using answers::UncertainInput;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using treatment::Case;

class Learner {
 public:
  Learner(Belief& belief, const Blade& blade, const Scores& scores, std::vector<Observed> readings,
          answers::Executor& executor, const LearnSettings& settings, const answers::Executor::GoOn& go_on)
      : belief_(belief), settings_(settings), scores_(scores),
        line_(blade.made, blade.station, scores, std::move(readings), executor, go_on), now_(scores.all) {}

  Lesson learn() {
    Lesson lesson;
    const Proposal before(scores_, scores_.all);
    for (int k = 0; k < settings_.most_rounds; ++k) {
      const Proposal from(scores_, now_);
      const Round round = line_.draw(from, settings_.draws, settings_.seed + static_cast<std::uint64_t>(k));
      if (round.read.rows() < line_.least_draws())
        break;
      lesson.draws += static_cast<int>(round.read.rows());
      lesson.rounds = k + 1;
      line_.fit(round, from);
      if (k == 0)
        expect(lesson);
      update();
      lesson.effective = effective(round, before, from);
      if (k + 1 >= settings_.least_rounds && lesson.effective >= settings_.enough)
        break;
    }
    if (lesson.rounds > 0)
      finish(lesson);
    return lesson;
  }

 private:
  Index count() const { return line_.count(); }
  const Observed& reading(Index j) const { return line_.readings()[static_cast<std::size_t>(j)]; }

  /// What was to be expected; readings far outside count for less from here on.
  void expect(Lesson& lesson) {
    const MatrixXd effect = line_.effect_on_all();
    for (Index j = 0; j < count(); ++j) {
      Observed& r = line_.readings()[static_cast<std::size_t>(j)];
      Held held;
      held.what = r.what;
      held.read = r.value;
      held.before = line_.start()(j) + effect.row(j).dot(scores_.all.mean());
      const double variance = effect.row(j) * scores_.all.covariance() * effect.row(j).transpose() +
                              line_.missed()(j, j) + error_covariance(r, r, true);
      held.before_sd = std::sqrt(variance);
      const double off = r.interval() ? 0 : r.value - held.before;
      if (std::abs(off) > unbelievable * held.before_sd) {
        held.set_aside = true;
        r.sd = math::hypot(r.sd, off / 2);
      }
      lesson.held.push_back(held);
    }
  }

  void update() {
    now_ = scores_.all;
    const MatrixXd effect = line_.effect_on_all();
    std::vector<Index> values;
    for (Index j = 0; j < count(); ++j)
      if (!reading(j).interval())
        values.push_back(j);
    const auto n = static_cast<Index>(values.size());
    if (n > 0) {
      MatrixXd of_values(n, effect.cols()), noise(n, n);
      VectorXd y(n);
      for (Index a = 0; a < n; ++a) {
        const Index j = values[static_cast<std::size_t>(a)];
        const Observed& r = reading(j);
        of_values.row(a) = effect.row(j);
        y(a) = r.value - line_.start()(j);
        for (Index b = 0; b < n; ++b)
          noise(a, b) = line_.missed()(j, values[static_cast<std::size_t>(b)]) +
                        error_covariance(r, reading(values[static_cast<std::size_t>(b)]), a == b);
      }
      now_.observe(of_values, y, noise);
    }
    for (Index j = 0; j < count(); ++j)
      if (reading(j).interval())
        feel(reading(j), effect.row(j), line_.start()(j), line_.missed()(j, j));
  }

  /// A reading that tells an interval: the moments of a normal distribution cut at its ends (Johnson, Kotz &
  /// Balakrishnan 1994, Continuous Univariate Distributions 1, 13.10).
  void feel(const Observed& r, const Eigen::RowVectorXd& effect, double start, double missed) {
    const double middle = start + effect.dot(now_.mean());
    const double variance = effect * now_.covariance() * effect.transpose() + missed + r.sd * r.sd;
    const double sd = std::sqrt(variance), low = (r.from - middle) / sd, high = (r.to - middle) / sd;
    const auto density = [](double z) {
      return std::isfinite(z) ? math::exp(-0.5 * z * z) / std::sqrt(2 * std::acos(-1.0)) : 0.0;
    };
    const auto below = [](double z) { return answers::normal_share_below(z); };
    const double share = below(high) - below(low);
    constexpr double hopeless = 1e-4; // a feel so unlikely is another fault than those that are learnt
    if (share < hopeless)
      return;
    const double ends = (density(low) - density(high)) / share;
    const double weighted =
        (std::isfinite(low) ? low * density(low) : 0) - (std::isfinite(high) ? high * density(high) : 0);
    const double narrower = ends * ends - weighted / share; // of the variance, 0 to 1
    const VectorXd gain = now_.covariance() * effect.transpose() / variance;
    now_.set(now_.mean() + gain * (sd * ends),
             now_.covariance() - gain * gain.transpose() * (variance * std::clamp(narrower, 0.0, 1.0)));
  }

  /// Share of the draws that is effective, by Kish's rule on the weights prior times likelihood over
  /// proposal.
  double effective(const Round& round, const Proposal& before, const Proposal& from) const {
    const Index n = round.read.rows();
    MatrixXd noise = MatrixXd::Zero(count(), count());
    for (Index i = 0; i < count(); ++i)
      for (Index j = 0; j < count(); ++j) {
        const Observed &a = reading(i), &b = reading(j);
        noise(i, j) += error_covariance(a, b, i == j);
        if (!a.offset_name.empty() && !b.offset_name.empty()) {
          const Index k = scores_.all.find(a.offset_name), l = scores_.all.find(b.offset_name);
          noise(i, j) += a.offset * b.offset * scores_.all.covariance()(k, l);
        }
      }
    const Eigen::LLT<MatrixXd> factor(noise);
    VectorXd log_weight(n);
    for (Index i = 0; i < n; ++i) {
      VectorXd off = round.read.row(i).transpose();
      for (Index j = 0; j < count(); ++j) {
        const Observed& r = reading(j);
        const double offset =
            r.offset_name.empty() ? 0 : r.offset * scores_.all.mean()(scores_.all.find(r.offset_name));
        off(j) = r.interval() ? std::max({0.0, r.from - off(j), off(j) - r.to}) : r.value - off(j) - offset;
      }
      const VectorXd z = round.scores.row(i).transpose();
      log_weight(i) = before.log_density(z) - from.log_density(z) - 0.5 * off.dot(factor.solve(off));
    }
    const VectorXd weight = (log_weight.array() - log_weight.maxCoeff()).exp();
    return weight.sum() * weight.sum() / weight.squaredNorm() / static_cast<double>(n);
  }

  void finish(Lesson& lesson) {
    const MatrixXd effect = line_.effect_on_all();
    for (Index j = 0; j < count(); ++j)
      lesson.held[static_cast<std::size_t>(j)].after = line_.start()(j) + effect.row(j).dot(now_.mean());
    belief_.set(now_.mean().head(scores_.shop), now_.covariance().topLeftCorner(scores_.shop, scores_.shop));
  }

  static constexpr double unbelievable = 3.5; ///< standard deviations

  Belief& belief_;
  const LearnSettings& settings_;
  const Scores& scores_;
  Linearised line_;
  Belief now_;
};

} // namespace

Case as_made(Case c, const Firing& firing) {
  const auto measured = [&](const char* input) {
    auto& stated = c.uncertainty.stated;
    stated.erase(std::remove_if(stated.begin(), stated.end(),
                                [&](const treatment::Doubt& d) { return d.input == input; }),
                 stated.end());
    stated.push_back({input, records::Knowledge::measured, std::nullopt});
  };
  if (firing.to_oil_s && c.carried()) {
    c.transfer().time_s = *firing.to_oil_s;
    measured("transfer_time");
  }
  if (firing.oil_before_degC && c.quenched()) {
    c.bath().temperature_degC = *firing.oil_before_degC;
    measured("oil_temperature");
  }
  if (c.heated() && !c.furnace().timer_s) // as the program would have told it
    answers::set_timer_from_door(c, answers::careful_timer(c).careful_s);
  return c;
}

Lesson learn(Belief& belief, const Blade& blade, answers::Executor& executor, const LearnSettings& settings,
             const answers::Executor::GoOn& go_on) {
  std::vector<Observed> readings = readings_of(blade);
  if (readings.empty())
    return {};
  const Scores scores(blade.made, blade.firing.bar, belief);
  return Learner(belief, blade, scores, std::move(readings), executor, settings, go_on).learn();
}

std::string score_name(const std::string& input, const std::string& width, const Case& c,
                       const std::string& bar) {
  return input + " | " + belongs_to(input, c, bar) + " | " + width;
}

Case as_learnt(const Case& c, const Belief& belief, const std::string& bar, const std::string& from) {
  Case out = c;
  out.uncertainty.learnt.reset();
  const std::vector<UncertainInput> inputs = answers::uncertain_inputs(out);
  treatment::Learnt learnt;
  std::vector<Index> at;
  std::vector<double> stays;
  for (const UncertainInput& input : inputs) {
    const Index k = belief.find(score_name(input.key, input.width, c, bar));
    if (k < 0)
      continue;
    at.push_back(k);
    stays.push_back(share_that_stays(input.key));
    learnt.inputs.push_back(input.key);
    learnt.middle.push_back(std::sqrt(stays.back()) * belief.mean()(k));
    if (input.apply && !answers::told_as_set(input.key))
      input.apply(out, input.distribution.at_score(learnt.middle.back()));
  }
  if (at.empty())
    return c;
  for (std::size_t i = 0; i < at.size(); ++i)
    for (std::size_t j = 0; j < at.size(); ++j)
      learnt.covariance.push_back(std::sqrt(stays[i] * stays[j]) * belief.covariance()(at[i], at[j]) +
                                  (i == j ? 1 - stays[i] : 0));
  learnt.blades = belief.blades;
  learnt.from = from;
  out.uncertainty.learnt = std::move(learnt);
  return out;
}

namespace {

/// What test blocks say of the tester's offset; what is written on a block is off by the same each time it is
/// read.
void hold_blocks(Belief& belief, Index tester, const std::vector<CouponReading>& coupons) {
  std::vector<const CouponReading*> read;
  for (const CouponReading& one : coupons)
    if (one.block)
      read.push_back(&one);
  if (read.empty())
    return;
  const auto n = static_cast<Index>(read.size());
  MatrixXd effect = MatrixXd::Zero(n, static_cast<Index>(belief.size())), noise(n, n);
  VectorXd off(n);
  effect.col(tester).setConstant(tester_offset_HRC);
  for (Index i = 0; i < n; ++i) {
    const CouponReading& one = *read[static_cast<std::size_t>(i)];
    off(i) = one.block->off_HRC;
    for (Index j = 0; j < n; ++j) {
      const BlockReading& other = *read[static_cast<std::size_t>(j)]->block;
      noise(i, j) = other.written_HRC == one.block->written_HRC ? one.block->sd_HRC * other.sd_HRC : 0;
    }
    const double dents = mean_reading_HRC(one.dents);
    noise(i, i) += dents * dents;
  }
  belief.observe(effect, off, noise);
}

} // namespace

double tester_by_block_HRC(const CouponReading& one) {
  if (!one.block)
    return 0;
  const double tester = tester_offset_HRC * tester_offset_HRC, dents = mean_reading_HRC(one.dents);
  return one.block->off_HRC * tester / (tester + one.block->sd_HRC * one.block->sd_HRC + dents * dents);
}

void hold_coupons(Belief& belief, const Case& c, const std::string& bar,
                  const std::vector<CouponReading>& coupons) {
  if (coupons.empty() || !c.tempered())
    return;
  double curve_HRC = 0, oven_K = 0;
  Index curve = -1, oven = -1;
  for (const UncertainInput& input : answers::uncertain_inputs(c))
    if (input.key == "temper_curve" || input.key == "oven_reading") {
      const bool of_curve = input.key == "temper_curve";
      (of_curve ? curve_HRC : oven_K) = input.distribution.at_score(1) - input.distribution.at_score(0);
      (of_curve ? curve : oven) = belief.at(score_name(input.key, input.width, c, bar));
    }
  const Index tester = belief.at(tester_offset);
  if (curve < 0)
    return;
  const double curve_stays = share_that_stays("temper_curve"), oven_stays = share_that_stays("oven_reading");
  const double constant = c.steel.temper.hj_constant_h;
  constexpr double hour_s = 3600;
  const double here = steel::equivalent_temperature(
      steel::hollomon_jaffe(c.oven().oven_degC, c.oven().time_s * c.tempers(), constant), hour_s, constant);
  const auto n = static_cast<Index>(coupons.size());
  MatrixXd effect = MatrixXd::Zero(n, static_cast<Index>(belief.size())), noise(n, n);
  VectorXd off(n);
  for (Index i = 0; i < n; ++i) {
    const CouponReading& one = coupons[static_cast<std::size_t>(i)];
    const double alike = error_correlation(one.one_hour_degC, here);
    effect(i, curve) = curve_HRC * std::sqrt(curve_stays) * alike;
    if (oven >= 0)
      effect(i, oven) = one.per_K_HRC * oven_K * std::sqrt(oven_stays);
    effect(i, tester) = tester_offset_HRC;
    off(i) = one.off_HRC;
    for (Index j = 0; j < n; ++j) {
      const CouponReading& other = coupons[static_cast<std::size_t>(j)];
      // what is another error of the curve at the coupon's setting than here
      noise(i, j) = curve_HRC * curve_HRC * curve_stays *
                    (error_correlation(one.one_hour_degC, other.one_hour_degC) -
                     alike * error_correlation(other.one_hour_degC, here));
      if (i == j)
        noise(i, j) += curve_HRC * curve_HRC * (1 - curve_stays) +
                       math::pow(one.per_K_HRC * oven_K, 2) * (1 - oven_stays) +
                       math::pow(mean_reading_HRC(one.dents), 2);
    }
  }
  belief.observe(effect, off, noise);
  hold_blocks(belief, tester, coupons);
}

} // namespace tq::shop
