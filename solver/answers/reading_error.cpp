#include "answers/reading_error.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

std::array<double, 3> file_chances(double hrc, double sd) {
  const double skates = normal_share_below((hrc - steel::file_skates_HRC) / sd),
               bites = normal_share_below((steel::file_bites_HRC - hrc) / sd);
  return {skates, std::max(0.0, 1 - skates - bites), bites};
}

double mixture_sd(const records::ReadingErrorRecord& errors, double short_HRC) {
  return reading_sd(errors.mixture) * std::max(0.0, short_HRC);
}

double hardness_reading_sd(const records::ReadingErrorRecord& errors, double tester_HRC, bool valid,
                           double short_HRC) {
  return math::hypot(reading_sd(tester_HRC), valid ? 0 : reading_sd(errors.place_HRC),
                     mixture_sd(errors, short_HRC));
}

double file_reading_sd(const records::ReadingErrorRecord& errors, double short_HRC) {
  return math::hypot(reading_sd(errors.file_HRC), mixture_sd(errors, short_HRC));
}

CommonDoubts::CommonDoubts(double fresh_sd, double curve_sd, const std::vector<double>& mixture_sd,
                           const std::vector<Read>& reads) {
  const auto n = static_cast<Eigen::Index>(reads.size()), d = of_zone(mixture_sd.size());
  Eigen::VectorXd variance(d);
  variance(0) = fresh_sd * fresh_sd;
  variance(1) = curve_sd * curve_sd;
  for (std::size_t z = 0; z < mixture_sd.size(); ++z)
    variance(of_zone(z)) = mixture_sd[z] * mixture_sd[z];
  covariance_ = variance.asDiagonal();
  if (n == 0)
    return;
  Eigen::MatrixXd across = Eigen::MatrixXd::Zero(d, n), together(n, n); // doubts and readings
  for (Eigen::Index j = 0; j < n; ++j) {
    const Read& r = reads[static_cast<std::size_t>(j)];
    for (const Eigen::Index i : {r.tempered ? Eigen::Index{1} : Eigen::Index{0}, of_zone(r.zone)})
      across(i, j) = variance(i);
  }
  for (Eigen::Index j = 0; j < n; ++j) {
    const Read& r = reads[static_cast<std::size_t>(j)];
    together.row(j) = across.row(r.tempered ? 1 : 0) + across.row(of_zone(r.zone));
    together(j, j) += r.sd * r.sd;
  }
  readings_.compute(together);
  gain_ = readings_.solve(across.transpose()).transpose();
  covariance_ -= gain_ * across.transpose();
  constexpr double half_log_two_pi = 0.91893853320467274;
  constant_ = -static_cast<double>(n) * half_log_two_pi;
  for (Eigen::Index j = 0; j < n; ++j)
    constant_ -= math::log(readings_.matrixLLT()(j, j));
}

CommonDoubts::Told CommonDoubts::told(const std::vector<double>& misses) const {
  Told out;
  out.middle = Eigen::VectorXd::Zero(covariance_.rows());
  if (misses.empty())
    return out;
  const Eigen::Map<const Eigen::VectorXd> off(misses.data(), static_cast<Eigen::Index>(misses.size()));
  out.squares = readings_.matrixL().solve(off).squaredNorm();
  out.log_likelihood = constant_ - 0.5 * out.squares;
  out.middle = gain_ * off;
  out.fresh = out.middle(0);
  out.curve = out.middle(1);
  return out;
}

double CommonDoubts::middle_at(const Told& told, std::size_t zone) const {
  return told.middle(0) + told.middle(of_zone(zone));
}

double CommonDoubts::variance_at(std::size_t zone) const {
  const Eigen::Index z = of_zone(zone);
  return covariance_(0, 0) + covariance_(z, z) + 2 * covariance_(0, z);
}

double reading_fault_HRC(const records::FaultEntry& fault, double share, bool by_file, bool ground,
                         bool valid) {
  if (fault.key == "soft_skin")
    return ground ? 0 : fault.at(share) * (by_file ? 1 : fault.tester_share);
  if (fault.key == "bad_place")
    return by_file || valid ? 0 : fault.at(share);
  return 0;
}

} // namespace tq::answers
