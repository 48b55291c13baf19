// What is believed of a shop: scores of what stays in it, standard normal before anything was read, and how
// they go together. Small, whatever the length of the journal that taught it.
#pragma once

#include <Eigen/Core>

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace tq::shop {

/// A joint normal distribution of named scores.
class Belief {
 public:
  int blades = 0;                    ///< that taught it
  std::vector<std::uint64_t> learnt; ///< digests of the entries that taught it, in their order
  std::vector<std::string> remarks;  ///< what the learning has to say, one line for an entry

  std::size_t size() const { return names_.size(); }
  const std::vector<std::string>& names() const { return names_; }
  /// Place of a score, taken in as standard normal when it was not known.
  Eigen::Index at(const std::string& name);
  /// The same, -1 when it is not known.
  Eigen::Index find(const std::string& name) const;
  const Eigen::VectorXd& mean() const { return mean_; }
  const Eigen::MatrixXd& covariance() const { return covariance_; }
  void set(Eigen::VectorXd mean, Eigen::MatrixXd covariance);
  /// Readings that are linear in the scores: y = effect * scores + noise. `effect` has a column for each
  /// score. Throws std::invalid_argument when the noise does not make a distribution.
  void observe(const Eigen::MatrixXd& effect, const Eigen::VectorXd& y, const Eigen::MatrixXd& noise);

 private:
  std::vector<std::string> names_;
  Eigen::VectorXd mean_;
  Eigen::MatrixXd covariance_;
};

/// As a text that read_belief() reads back to the same digits. `of`: what else it depends on, the version of
/// the records for example.
std::string belief_text(const Belief& belief, std::string_view of);
/// An empty one where the text is no belief, or one of something else than `of`.
Belief read_belief(std::string_view text, std::string_view of);

} // namespace tq::shop
