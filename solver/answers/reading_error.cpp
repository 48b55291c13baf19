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

double hardness_reading_sd(const records::ReadingErrorRecord& errors, double tester_HRC, bool valid,
                           double short_HRC) {
  return std::hypot(reading_sd(tester_HRC), valid ? 0 : reading_sd(errors.place_HRC),
                    reading_sd(errors.mixture) * std::max(0.0, short_HRC));
}

double file_reading_sd(const records::ReadingErrorRecord& errors, double short_HRC) {
  return std::hypot(reading_sd(errors.file_HRC), reading_sd(errors.mixture) * std::max(0.0, short_HRC));
}

CommonShift::CommonShift(double sd, const std::vector<Miss>& misses) {
  // covariance of the misses: that of each on the diagonal, and sd^2 everywhere
  const double s2 = sd * sd;
  double precision = 0, pull = 0, sum_of_squares = 0, log_determinant = 0;
  for (const Miss& m : misses) {
    const double t2 = m.reading_sd * m.reading_sd;
    precision += 1 / t2;
    pull += m.miss / t2;
    sum_of_squares += m.miss * m.miss / t2;
    log_determinant += std::log(t2);
  }
  const double whole = 1 + s2 * precision;
  variance = s2 / whole;
  mean = s2 * pull / whole;
  squares = sum_of_squares - s2 * pull * pull / whole;
  log_likelihood = -0.5 * (squares + log_determinant + std::log(whole));
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
