// Inverse questions: which setting gives what is wanted. Each is answered by a search with the full model on
// the rungs on which the setting can be made, and rounded to the side on which an error does least harm.
#pragma once

#include "answers/answers.hpp"
#include "answers/executor.hpp"
#include "answers/experiment.hpp"
#include "treatment/case.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tq::answers {

/// One question that find() answers.
struct Question {
  std::string key;            ///< "timer"
  std::string asks;           ///< "Which timer gives the wanted soak?"
  std::string wish;           ///< what FindOptions::wish means and its default; empty: it takes none
  std::string wish_dimension; ///< of units/quantity.hpp
  std::string safe_side;      ///< how the setting is rounded and why
};
/// All questions, in the order of the work.
const std::vector<Question>& questions();

struct FindOptions {
  std::optional<double> wish;              ///< SI, degC, HRC, share; meaning by the question
  std::optional<double> spine_at_most_HRC; ///< temper: ceiling at the spine, the wish then holds at the edge
  std::optional<int> blades;               ///< oil-volume (default 1), batch (default 6)
  bool fahrenheit = false;                 ///< temperatures on rungs of 5 degF instead of 5 degC
};

/// To which side a setting is rounded where it is printed, in each of its units.
enum class Side { nearest, down, up };

/// A number to set, or one that goes with it.
struct Setting {
  std::string name;      ///< "timer, from closing the door"
  std::string key;       ///< snake case, for programs: "timer_from_door"
  std::string case_key;  ///< where it goes in a case, "furnace.timer"; empty when nowhere
  double value = 0;      ///< SI, degC
  std::string dimension; ///< of units/quantity.hpp, or "count"
  std::string unit;      ///< in which people set it: "min", "s", "degC", "degF", "mm", "um", "L", ""
  Side side = Side::nearest;
};

/// Whether what is found holds in nine draws in ten (careful_find.hpp).
enum class Held { not_asked, holds, only_as_stated };

/// The answer to one question.
struct Finding {
  std::string question; ///< its key
  std::string asked;    ///< the question with its numbers, in words
  bool found = false;   ///< false: no setting does it
  Held by_draws = Held::not_asked;
  std::string because;            ///< why no setting does it
  std::vector<Setting> settings;  ///< the answer first, then what goes with it
  std::vector<Setting> figures;   ///< what was found on the way, nothing to set
  std::vector<std::string> steps; ///< what to do in order, where the answer is more than one number
  std::vector<std::string> notes;
  std::vector<Caution> cautions; ///< those of the case that belong beside these settings
  /// The case with the setting in it and what it leads to; the case as given when nothing was found.
  treatment::Case with_setting;
  Outcome outcome;
  Verdict soak = Verdict::not_asked, quench = Verdict::not_asked, hardness = Verdict::not_asked;
};

/// Throws records::InputError (one line) when the case cannot be asked this, for example a question about the
/// oil of a case without a bath, or when there is no such question; treatment::SolverError.
/// Several settings are tried at the same time where the executor can; the answer does not depend on it.
/// `go_on` is asked now and then and stops by returning false (throws treatment::Interrupted).
Finding find(const treatment::Case& c, const std::string& question, const FindOptions& options = {},
             Executor* executor = nullptr, const std::function<bool()>& go_on = {});

} // namespace tq::answers
