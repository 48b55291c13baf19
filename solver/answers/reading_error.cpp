#include "answers/reading_error.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {
namespace {

double normal_share(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

} // namespace

std::array<double, 3> file_chances(double hrc, double sd) {
  const double skates = normal_share((hrc - steel::file_skates_HRC) / sd),
               bites = normal_share((steel::file_bites_HRC - hrc) / sd);
  return {skates, std::max(0.0, 1 - skates - bites), bites};
}

CommonShift::CommonShift(double sd, const std::vector<double>& misses, double reading_sd) {
  // covariance of the misses: reading^2 I + sd^2 1 1'
  const double n = static_cast<double>(misses.size()), t2 = reading_sd * reading_sd, s2 = sd * sd;
  double sum = 0, sum_of_squares = 0;
  for (const double miss : misses) {
    sum += miss;
    sum_of_squares += miss * miss;
  }
  const double whole = t2 + n * s2;
  squares = misses.empty() ? 0 : sum_of_squares / t2 - s2 * sum * sum / (t2 * whole);
  if (!misses.empty())
    log_likelihood = -0.5 * squares - 0.5 * ((n - 1) * std::log(t2) + std::log(whole));
  if (s2 > 0) {
    variance = s2 * t2 / whole;
    mean = s2 * sum / whole;
  }
}

double reading_fault_HRC(const records::FaultEntry& fault, double share, bool by_file, bool ground, bool valid) {
  if (fault.key == "soft_skin")
    return ground ? 0 : fault.at(share) * (by_file ? 1 : fault.tester_share);
  if (fault.key == "bad_place")
    return by_file || valid ? 0 : fault.at(share);
  return 0;
}

} // namespace tq::answers
