// Questions about a steel without a blade: what `thinquench ask` computes, and coupons of a shop.
#pragma once

#include "records/steel_record.hpp"
#include "steel/diagram.hpp"
#include "steel/temper_model.hpp"
#include "treatment/case_reader.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tq::treatment {

/// What is known of the steel asked about.
struct Subject {
  std::string name;            ///< for headings
  records::SteelRecord record; ///< of a bare composition: made by rules
  bool by_composition = false;
  std::vector<std::string> outside; ///< composition outside the steels the rules were found on
};

/// Reads steels for questions; keeps what it has read.
class SubjectReader {
 public:
  /// `records` must live as long as this.
  explicit SubjectReader(const RecordSource& records);
  /// "O1" (in whatever case), "my_steel.toml" or "C 0.8 Mn 0.7 Si 0.2". Throws records::InputError.
  Subject read(const std::string& asked);
  /// Not for a composition that why_not_covered() refuses.
  Subject of_composition(const records::Composition& wt) const;
  const steel::TemperModel& temper_model() const { return model_; }

 private:
  const RecordSource& source_;
  steel::TemperModel model_;
  records::Phases phases_;
};

/// True for "C 0.8 Mn 0.7".
bool is_composition(const std::string& asked);
/// Throws records::InputError.
records::Composition read_composition_text(const std::string& text);

/// Why the formulas cannot be asked about this composition at all; empty when they can.
std::string why_not_covered(const records::Composition& wt);

struct HardeningQuestion {
  std::optional<double> temperature_degC, soak_s; ///< otherwise the usual ones of the record
  records::StartState start = records::StartState::spheroidised;
  double cooled_to_degC = 20;
};
struct TemperQuestion {
  double temperature_degC = 0, hold_s = 3600;
  int cycles = 1;
  std::optional<double> flash_degC; ///< heat of grinding after the last cycle
  double flash_s = 1;
};

/// The steel soaked at a constant temperature, then cooled fast enough that nothing but martensite forms.
struct HardeningAnswer {
  double temperature_degC = 0, soak_s = 0, cooled_to_degC = 0;
  double ac1_degC = 0, ae1_degC = 0;
  double ac1_end_degC = 0;     ///< where the last ferrite goes on slow heating
  double acm_degC = 0;         ///< above it all carbon is in solution in the end
  double austenite_formed = 0; ///< share of the matrix
  double carbon_wt = 0;        ///< in solution
  double cementite = 0;        ///< share undissolved
  double ms_degC = 0, ms_band_K = 0;
  double ms_andrews_degC = 0, ms_payson_savage_degC = 0; ///< other published formulas, same carbon
  double martensite = 0, retained_austenite = 0, ferrite = 0;
  double retained_austenite_low = 0; ///< with the martensite rate of van Bohemen 2012
  double retained_austenite_km = 0;  ///< with 0.011 1/K, Koistinen & Marburger 1959
  double hardness_HV = 0, hardness_HRC = 0, hardness_band_HRC = 0;
  double maynier_HV = 0; ///< martensite by Maynier 1978 at 100 K/s; NaN above its 0.5 %C
  std::vector<std::string> outside;
};

struct TemperAnswer {
  TemperQuestion question;
  double hardness_HRC = 0, hardness_HV = 0; ///< NaN where there is no answer
  double band_HRC = 0;
  double after_flash_HRC = 0;    ///< NaN when no flash was asked about or there is no answer
  double retained_austenite = 0; ///< share of the steel left after tempering
  bool brittle = false;          ///< in the range of tempered-martensite embrittlement
  std::string from;              ///< the curve or model that answered
  std::vector<std::string> outside;
};

struct DiagramAnswer {
  double carbon_wt = 0;
  steel::Nose pearlite_nose, bainite_nose;
  steel::CriticalRate critical;
  double times_band = 0, bainite_band = 0; ///< factor either way on the times
  double kirkaldy_nose_s = 0;              ///< pearlite nose of Kirkaldy & Venugopalan 1984, nothing fitted
  std::vector<steel::DiagramRow> rows;
  std::vector<steel::CoolingResult> cooling; ///< at shares of the critical rate, to where the question cools
};

HardeningAnswer answer_hardening(const Subject& subject, const HardeningQuestion& question);
/// For a blade hardened through and soundly; `hardening` gives the austenite there is to decompose.
TemperAnswer answer_temper(const Subject& subject, const TemperQuestion& question,
                           const HardeningAnswer& hardening, const steel::TemperModel& model);
/// For the carbon that the hardening dissolved.
DiagramAnswer answer_diagram(const Subject& subject, const HardeningAnswer& hardening, bool with_rows);

} // namespace tq::treatment
