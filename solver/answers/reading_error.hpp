// How far off a Rockwell tester and a file are, and how likely a reading is where the hardness is known: what
// `explain` and whoever learns from a shop's readings weigh them by. Hardness in HRC; a sd is a standard
// deviation.
#pragma once

#include "answers/sampling.hpp"
#include "records/fault_record.hpp"
#include "steel/reading.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <array>
#include <cstddef>
#include <vector>

namespace tq::answers {

/// One place of a station read by a Rockwell tester.
struct HardnessReading {
  std::size_t zone = 0; ///< treatment::Zone
  double hrc = 0;
  bool tempered = false; ///< after the last temper; else as quenched, after the case's cold
};

/// A file drawn over one place, as quenched.
struct FileReading {
  std::size_t zone = 0; ///< treatment::Zone
  steel::FileFeel feel = steel::FileFeel::skates;
  bool ground = false; ///< after 0.1 to 0.2 mm of skin were ground off
};

/// Of a tester or a file that is within `half_90` nine times in ten.
inline double reading_sd(double half_90) { return half_90 / normal_half_90; }

/// Chances of skates, just skates and bites (in the order of steel::FileFeel) on a hardness of `hrc`, when
/// hands, file and hardness together are uncertain by `sd`.
std::array<double, 3> file_chances(double hrc, double sd);

/// How far off one reading of a tester is, as a standard deviation: the tester's own (`tester_HRC`, nine in
/// ten), the place's where it is not `valid` to stand, and the model's where the steel is not all martensite
/// and reads by `short_HRC` less than it would be.
double hardness_reading_sd(const records::ReadingErrorRecord& errors, double tester_HRC, bool valid,
                           double short_HRC);
/// What is not known of the hardness of a mixture, of a place `short_HRC` softer than the hardest.
double mixture_sd(const records::ReadingErrorRecord& errors, double short_HRC);
/// The same of a file.
double file_reading_sd(const records::ReadingErrorRecord& errors, double short_HRC);

/// What readings of one blade have in common beside the error of each: the formula for fresh hardness, the
/// tempering curve, and at each place what is not known of the hardness of its mixture, which tester and file
/// feel alike, before the temper and after. All normal, so what the misses (read minus expected) say of them
/// is told in closed form.
class CommonDoubts {
 public:
  struct Read {
    std::size_t zone;
    bool tempered;
    double sd; ///< of its own
  };
  /// `mixture_sd`: by zone.
  CommonDoubts(double fresh_sd, double curve_sd, const std::vector<double>& mixture_sd,
               const std::vector<Read>& reads);

  struct Told {
    double log_likelihood = 0; ///< of the misses
    double squares = 0;        ///< whitened and summed: of chi squared with as many degrees as misses
    double fresh = 0, curve = 0;
    Eigen::VectorXd middle; ///< of fresh, curve, and the mixture of each zone
  };
  Told told(const std::vector<double>& misses) const;
  double fresh_variance() const { return covariance_(0, 0); } ///< after the readings
  double curve_variance() const { return covariance_(1, 1); }
  /// What is in doubt of the fresh hardness of a zone, after the readings: the formula and its mixture.
  double middle_at(const Told& told, std::size_t zone) const;
  double variance_at(std::size_t zone) const;

 private:
  static Eigen::Index of_zone(std::size_t zone) { return 2 + static_cast<Eigen::Index>(zone); }

  Eigen::MatrixXd gain_, covariance_; ///< of the doubts after the readings
  Eigen::LLT<Eigen::MatrixXd> readings_;
  double constant_ = 0;
};

/// How much too low a reading is because of what a fault does to the place that is read, at `share` (0 to 1)
/// of the fault's range: "soft_skin" acts on tester and file, "bad_place" on a tester that stands where it is
/// not `valid` to stand; no other does.
double reading_fault_HRC(const records::FaultEntry& fault, double share, bool by_file, bool ground,
                         bool valid);

} // namespace tq::answers
