// The readings of a blade as linear functions of the scores of its inputs, fitted to draws of them.
#pragma once

#include "answers/executor.hpp"
#include "answers/uncertain_inputs.hpp"
#include "shop/belief.hpp"
#include "shop/readings.hpp"

#include <Eigen/Core>

#include <cstdint>
#include <string>
#include <vector>

namespace tq::shop {

/// How the scores of one blade's inputs come from those of the shop and its own: z = of_all * (shop, own).
struct Scores {
  std::vector<answers::UncertainInput> inputs;
  Belief all; ///< the shop's, and behind them one of its own for each input
  Eigen::Index shop = 0;
  Eigen::MatrixXd of_all;

  /// Takes the scores of the case into `belief`.
  Scores(const treatment::Case& c, const std::string& bar, Belief& belief);
};

/// A normal distribution of the scores of the inputs, from which draws are made.
struct Proposal {
  Eigen::VectorXd middle;
  Eigen::MatrixXd lower; ///< Cholesky factor of its covariance

  Proposal(const Scores& scores, const Belief& belief);
  double log_density(const Eigen::VectorXd& z) const;
};

/// Draws of one round. Those at which something is missing are left out.
struct Round {
  Eigen::MatrixXd standard; ///< [draw, input], standard normal
  Eigen::MatrixXd scores;   ///< the same as scores of the inputs
  Eigen::MatrixXd read;     ///< [draw, reading]
};

class Linearised {
 public:
  Linearised(const treatment::Case& made, std::size_t station, const Scores& scores,
             std::vector<Observed> readings, answers::Executor& executor, answers::Executor::GoOn go_on);

  std::vector<Observed>& readings() { return readings_; }
  const std::vector<Observed>& readings() const { return readings_; }
  Eigen::Index count() const { return static_cast<Eigen::Index>(readings_.size()); }
  /// Draws that a fit needs: a line in all inputs and some freedom for what it misses.
  Eigen::Index least_draws() const;

  Round draw(const Proposal& from, int draws, std::uint64_t seed) const;
  void fit(const Round& round, const Proposal& from);

  // reading = start + effect * scores of the inputs, and what that misses
  const Eigen::VectorXd& start() const { return start_; }
  const Eigen::MatrixXd& missed() const { return missed_; } ///< covariance
  /// On all scores, the offsets of the instruments included.
  Eigen::MatrixXd effect_on_all() const;

 private:
  Eigen::Index inputs() const { return static_cast<Eigen::Index>(scores_.inputs.size()); }
  Eigen::VectorXd predicted(const treatment::Case& c, const double* changes) const;
  Round sound(const Eigen::MatrixXd& standard, const Eigen::MatrixXd& z, const Eigen::MatrixXd& read) const;

  const treatment::Case& made_;
  std::size_t station_;
  const Scores& scores_;
  std::vector<Observed> readings_;
  answers::Executor& executor_;
  answers::Executor::GoOn go_on_;
  Eigen::VectorXd grid_; ///< what the coarse grid makes of the readings, to be added
  Eigen::VectorXd start_;
  Eigen::MatrixXd effect_, missed_;
};

} // namespace tq::shop
