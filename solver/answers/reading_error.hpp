// How far off a Rockwell tester and a file are, and how likely a reading is where the hardness is known: what
// `explain` and whoever learns from a shop's readings weigh them by. Hardness in HRC; a sd is a standard
// deviation.
#pragma once

#include "answers/sampling.hpp"
#include "records/fault_record.hpp"
#include "steel/reading.hpp"

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
/// The same of a file.
double file_reading_sd(const records::ReadingErrorRecord& errors, double short_HRC);

/// A doubt that moves all readings of one kind alike (a formula, the zero of a tester), normal with `sd`,
/// beside the reading error of each, normal with `reading_sd`: what misses (read minus expected) say of it,
/// in closed form.
struct CommonShift {
  struct Miss {
    double miss, reading_sd;
  };
  CommonShift(double sd, const std::vector<Miss>& misses);

  double mean = 0, variance = 0; ///< of the common doubt, after the readings
  double log_likelihood = 0;     ///< of the misses, up to the constant of 2 pi
  double squares = 0; ///< whitened and summed: of chi squared with as many degrees as there are misses
};

/// How much too low a reading is because of what a fault does to the place that is read, at `share` (0 to 1)
/// of the fault's range: "soft_skin" acts on tester and file, "bad_place" on a tester that stands where it is
/// not `valid` to stand; no other does.
double reading_fault_HRC(const records::FaultEntry& fault, double share, bool by_file, bool ground,
                         bool valid);

} // namespace tq::answers
