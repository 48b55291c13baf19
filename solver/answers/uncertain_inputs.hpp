// What nobody knows exactly about a case, how far each may be off and where that figure comes from; and the
// case as it would be if the inputs were off by so much.
#pragma once

#include "answers/answers.hpp"
#include "answers/sampling.hpp"
#include "records/uncertainty_record.hpp"
#include "treatment/case.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tq::answers {

/// One uncertain input of a case.
struct UncertainInput {
  std::string key;           ///< as in [uncertainty], for example "foil_gap"
  std::string name;          ///< for sentences: "the gap in the foil"
  Distribution distribution; ///< of the change: a difference (0 = as stated) or a factor (1 = as stated)
  std::string width;         ///< for people: "+/- 6 K", "a factor 3 either way"
  records::Knowledge knowledge = records::Knowledge::typical;
  std::string source; ///< "the case", the source in the record, or that in typical_uncertainty.toml
  /// Changes the case; values beyond what a case may hold are pulled back to it.
  std::function<void(treatment::Case&, double change)> apply;
  /// Changes the answers instead, where the doubt is in a formula that the case has no figure for.
  std::function<void(StationAnswer&, double change)> adjust;
  /// Where the shop has learnt something: its place in treatment::Learnt.
  std::optional<std::size_t> learnt;
};

/// Whether its hardening heats steel that a furnace has heated before.
bool reheated(const treatment::Case& c);

/// The uncertain inputs that matter to the stages of this case, each as narrow as the shop's readings make it
/// on its own.
std::vector<UncertainInput> uncertain_inputs(const treatment::Case& c);

/// Points of the unit cube, [point * inputs + input], made to go together as the shop's readings say; the
/// same points where nothing was learnt.
std::vector<double> linked_points(const treatment::Case& c, const std::vector<UncertainInput>& inputs,
                                  std::vector<double> points);

/// The case with every input changed; `changes` has one value per input.
treatment::Case perturbed(const treatment::Case& c, const std::vector<UncertainInput>& inputs,
                          const double* changes);

} // namespace tq::answers
