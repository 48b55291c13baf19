#include "shop/linearised.hpp"

#include "answers/coarse_case.hpp"
#include "answers/margins.hpp"
#include "answers/sampling.hpp"
#include "answers/station_answer.hpp"
#include "shop/learn.hpp"
#include "shop/stays.hpp"
#include "treatment/run.hpp"

#include <Eigen/Cholesky>
#include <Eigen/QR>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace tq::shop {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using treatment::Case;

namespace {

Case plain(Case c) {
  c.output_times_s = {1e12}; // no fields, so no steps that land on them
  c.probes.clear();
  return c;
}

} // namespace

Scores::Scores(const Case& c, const std::string& bar, Belief& belief) : inputs(answers::uncertain_inputs(c)) {
  const auto d = static_cast<Index>(inputs.size());
  std::vector<Index> at(inputs.size(), -1);
  std::vector<double> stays(inputs.size(), 0);
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    stays[i] = share_that_stays(inputs[i].key);
    if (stays[i] > 0)
      at[i] = belief.at(score_name(inputs[i].key, inputs[i].width, c, bar));
  }
  belief.at(tester_offset);
  belief.at(couple_offset);
  belief.at(couple_oil_offset);
  all = belief;
  shop = static_cast<Index>(belief.size());
  of_all = MatrixXd::Zero(d, shop + d);
  for (Index i = 0; i < d; ++i) {
    const auto k = static_cast<std::size_t>(i);
    all.at("own " + inputs[k].key);
    if (at[k] >= 0)
      of_all(i, at[k]) = std::sqrt(stays[k]);
    of_all(i, shop + i) = std::sqrt(1 - stays[k]);
  }
}

Proposal::Proposal(const Scores& scores, const Belief& belief) {
  middle = scores.of_all * belief.mean();
  MatrixXd covariance = scores.of_all * belief.covariance() * scores.of_all.transpose();
  constexpr double jitter = 1e-9; // where nothing of an input is a blade's own
  covariance.diagonal().array() += jitter;
  lower = Eigen::LLT<MatrixXd>(covariance).matrixL();
}

double Proposal::log_density(const VectorXd& z) const {
  return -0.5 * lower.triangularView<Eigen::Lower>().solve(z - middle).squaredNorm() -
         lower.diagonal().array().log().sum();
}

Linearised::Linearised(const Case& made, std::size_t station, const Scores& scores,
                       std::vector<Observed> readings, answers::Executor& executor,
                       answers::Executor::GoOn go_on)
    : made_(made), station_(station), scores_(scores), readings_(std::move(readings)), executor_(executor),
      go_on_(std::move(go_on)) {
  grid_ = predicted(plain(made), nullptr) - predicted(plain(answers::coarse_case(made)), nullptr);
  for (Index j = 0; j < grid_.size(); ++j)
    if (!std::isfinite(grid_(j)))
      grid_(j) = 0;
}

Index Linearised::least_draws() const { return inputs() + 10; }

/// What a made blade would read, all readings; NaN where it has no such figure.
VectorXd Linearised::predicted(const Case& c, const double* changes) const {
  const treatment::Run run = treatment::run_station(c, station_);
  answers::StationAnswer answer = answers::answer_station(c, run, answers::soak_margins(c, station_, run));
  for (std::size_t i = 0; changes != nullptr && i < scores_.inputs.size(); ++i)
    if (scores_.inputs[i].adjust)
      scores_.inputs[i].adjust(answer, changes[i]);
  Pieces pieces;
  VectorXd out(count());
  for (Index j = 0; j < count(); ++j)
    out(j) = readings_[static_cast<std::size_t>(j)].predict({c, run, answer, pieces});
  return out;
}

Round Linearised::draw(const Proposal& from, int draws, std::uint64_t seed) const {
  const auto n = std::max<Index>(draws, 2 * least_draws());
  const auto d = inputs();
  const std::vector<double> points =
      answers::sample_points(static_cast<std::size_t>(n), scores_.inputs.size(), seed);
  MatrixXd standard(n, d), z(n, d),
      read = MatrixXd::Constant(n, count(), std::numeric_limits<double>::quiet_NaN());
  for (Index i = 0; i < n; ++i) {
    for (Index k = 0; k < d; ++k)
      standard(i, k) = answers::normal_quantile(points[static_cast<std::size_t>(i * d + k)]);
    z.row(i) = (from.middle + from.lower * standard.row(i).transpose()).transpose();
  }
  const auto work = [&](std::size_t piece) {
    const auto i = static_cast<Index>(piece);
    std::vector<double> changes;
    for (Index k = 0; k < d; ++k)
      changes.push_back(scores_.inputs[static_cast<std::size_t>(k)].distribution.at_score(z(i, k)));
    try {
      const Case c = plain(answers::coarse_case(answers::perturbed(made_, scores_.inputs, changes.data())));
      read.row(i) = (predicted(c, changes.data()) + grid_).transpose();
    } catch (const treatment::SolverError&) {
      // one draw less
    }
  };
  executor_.for_each_index(static_cast<std::size_t>(n), work, go_on_);
  return sound(standard, z, read);
}

Round Linearised::sound(const MatrixXd& standard, const MatrixXd& z, const MatrixXd& read) const {
  std::vector<Index> rows;
  for (Index i = 0; i < read.rows(); ++i)
    if (read.row(i).allFinite())
      rows.push_back(i);
  const auto n = static_cast<Index>(rows.size());
  Round out{MatrixXd(n, inputs()), MatrixXd(n, inputs()), MatrixXd(n, count())};
  for (Index i = 0; i < n; ++i) {
    const Index row = rows[static_cast<std::size_t>(i)];
    out.standard.row(i) = standard.row(row);
    out.scores.row(i) = z.row(row);
    out.read.row(i) = read.row(row);
  }
  return out;
}

void Linearised::fit(const Round& round, const Proposal& from) {
  const Index n = round.read.rows(), d = inputs();
  MatrixXd terms(n, d + 1);
  terms << VectorXd::Ones(n), round.standard;
  const MatrixXd coefficients = terms.colPivHouseholderQr().solve(round.read);
  const MatrixXd off = round.read - terms * coefficients;
  // what the line misses, and how well it is known itself
  missed_ = off.transpose() * off / static_cast<double>(n - d - 1) *
            (1 + static_cast<double>(d) / static_cast<double>(n));
  const MatrixXd by_standard = coefficients.bottomRows(d); // [input, reading]
  effect_ = from.lower.transpose().triangularView<Eigen::Upper>().solve(by_standard).transpose();
  start_ = coefficients.row(0).transpose() - effect_ * from.middle;
}

MatrixXd Linearised::effect_on_all() const {
  MatrixXd effect = effect_ * scores_.of_all;
  for (Index j = 0; j < count(); ++j) {
    const Observed& r = readings_[static_cast<std::size_t>(j)];
    if (!r.offset_name.empty())
      effect(j, scores_.all.find(r.offset_name)) += r.offset;
  }
  return effect;
}

} // namespace tq::shop
