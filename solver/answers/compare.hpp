// One blade against many baths: which oils, bath temperatures, transfer times and thicknesses harden it.
#pragma once

#include "answers/answers.hpp"
#include "answers/executor.hpp"
#include "answers/experiment.hpp"
#include "records/coolant_record.hpp"
#include "treatment/case.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tq::answers {

/// What is varied; a list that is empty keeps what the case says.
struct CompareAxes {
  std::vector<records::CoolantRecord> coolants;
  std::vector<double>
      bath_degC; ///< empty: of each coolant the middle of its usual window (or the case's own)
  std::vector<double> transfer_s, spine_m;
};

struct CompareRow {
  std::string coolant; ///< key
  double bath_degC = 0, transfer_s = 0, spine_m = 0;
  std::string not_possible; ///< why this cannot be set up; the figures are then NaN
  Verdict quench = Verdict::not_asked;
  Verdict crack = Verdict::not_asked, oil = Verdict::not_asked; ///< as stated; crack.hpp, safety.hpp
  Verdict verdict = Verdict::not_asked;                         ///< the worst of the three
  std::string because; ///< of crack or oil, when one of them is the worst
  std::string limiting_zone;
  double rate_margin = ZoneAnswer::none, transformed = ZoneAnswer::none;
  double as_quenched_least_HRC = ZoneAnswer::none;
  double bath_end_degC = ZoneAnswer::none;
};

/// For one coolant at its first bath temperature.
struct CompareLimit {
  std::string coolant; ///< key
  double bath_degC = 0;
  std::optional<double> thickest_spine_m; ///< with the case's transfer, down to 0.05 mm; none: nothing passes
  bool thickest_is_bound = false;         ///< thicker was not looked at
  std::optional<double> longest_transfer_s; ///< with the case's section, down to half seconds
  bool longest_is_bound = false;
};

struct Comparison {
  double timer_s = ZoneAnswer::none; ///< from closing the door, for the case's own section
  std::vector<CompareRow> rows;      ///< by coolant, then bath, transfer, spine, as listed
  std::vector<CompareLimit> limits;  ///< one per coolant
};

/// Rows are computed at the same time where the executor can; the table does not depend on it. `go_on` is
/// asked now and then and stops by returning false (throws treatment::Interrupted). Throws
/// records::InputError when the case has no bath or its steel does not transform, treatment::SolverError.
Comparison compare(const treatment::Case& c, const CompareAxes& axes, Executor* executor = nullptr,
                   const std::function<bool()>& go_on = {});

} // namespace tq::answers
