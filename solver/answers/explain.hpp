// "It came out soft, why?" and "what does my reading mean?": readings of tester and file held against a case.
// What may have gone wrong, one fault or two at once, was drawn together with all that nobody knows exactly
// about the case (fault_draws.hpp); what each draw would have read is compared with what was read (Bayes'
// rule by importance sampling). The same weights tell what the next blade will have, and which test parts the
// causes.
#pragma once

#include "answers/fault_draws.hpp"
#include "answers/reading_error.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tq::answers {

/// All that was read of one blade made as the case says.
struct Reading {
  std::size_t station = 0;
  std::vector<HardnessReading> hardness;
  std::vector<FileReading> files;
  bool ground = false;              ///< the skin was ground off before the tester: 0.1 to 0.2 mm per side
  std::optional<double> tester_HRC; ///< nine readings in ten are this near; nothing: as the record says
};

/// Middle and 90 % band.
struct Forecast {
  double middle = ZoneAnswer::none, low = ZoneAnswer::none, high = ZoneAnswer::none;
};

struct Explanation {
  /// What a test does to a question: how often the right answer is named without it and with it.
  struct Parting {
    std::size_t test = 0; ///< of the sample's record
    double without = 0, with = 0;
  };
  struct Cause {
    std::string key; ///< of the fault; "none": as the case says, within its doubts; "at_limit": so too, but
                     ///< the quench missed; "something_else"
    std::string name, remedy;
    bool stays = false;
    double share =
        0; ///< chance that it is there, alone or with another; those of two faults at once count twice
    double alone = 0; ///< chance that it is there and no other
    std::string with; ///< key of the fault that most likely came with it; empty where none is worth telling
    double with_share = 0;
    std::optional<Parting>
        parting; ///< the cheapest test that parts it from the next (the last: from the first)
  };
  /// What the readings say of one input: how far its middle moved, in parts of its own 90 % half-width.
  struct Shift {
    std::string name;
    double moved = 0;
  };
  /// What happened, whichever fault did it.
  struct Group {
    std::string key, name; ///< of the record; "none", "something_else" as of the causes
    double share = 0;
  };
  std::vector<Group> groups; ///< most likely first
  std::vector<Cause> causes; ///< most likely first
  /// Chance that a blade like the weighed draws reads at least as far off as this one (posterior predictive
  /// check, Gelman, Meng & Stern 1996, Stat. Sinica 6, 733): where it is tiny the readings do not come from
  /// here.
  double fit = 0;
  bool explained = true;       ///< `fit` is large enough and something else is not the most likely
  double effective_draws = 0;  ///< of how many equal draws the weighed ones are worth
  std::size_t draws = 0;       ///< in all
  double smoothing = 1;        ///< power of the likelihood; below 1 where too few draws carried the weight
  std::optional<Parting> next; ///< the test that makes naming the right cause likelier by most for its effort
  std::vector<Shift> shifts;   ///< those that moved by a quarter or more and by more than chance
  std::vector<Forecast> expected; ///< of each reading of the tester, before it was taken, tester included
  // the next blade, made the same way with nothing cured, in the zone of the first reading (the edge without)
  std::size_t next_zone = 0;
  Forecast quenched_before, quenched_after, tempered_before, tempered_after;
  /// Oven that brings the middle of `tempered_after` to the middle of the wish, 5 degC down; nothing without
  /// a wish, a temper or a slope.
  std::optional<double> oven_degC;
};

/// Below this the readings do not come from the model.
inline constexpr double least_fit = 0.01;

/// Holds the readings against the draws. Throws records::InputError for readings that the case cannot have.
Explanation explain(const FaultSample& sample, const Reading& reading);
/// The same, with further draws of what the readings point to as long as few draws carry the weight.
Explanation explain_closely(FaultSample& sample, const Reading& reading, Executor& executor,
                            const ShareDone& go_on = {});

} // namespace tq::answers
