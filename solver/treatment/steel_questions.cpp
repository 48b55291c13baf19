#include "treatment/steel_questions.hpp"

#include "records/document.hpp"
#include "records/read_steel.hpp"
#include "steel/bare_steel.hpp"
#include "steel/formulas.hpp"
#include "steel/grain.hpp"
#include "steel/hardness.hpp"
#include "steel/record_gaps.hpp"
#include "steel/temper.hpp"
#include "steel/transformation.hpp"
#include "treatment/record_names.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <sstream>

namespace tq::treatment {
namespace {

using records::Composition;
using records::InputError;
using units::formatted;

constexpr double sound_austenite = 0.99;

RecordText found(std::optional<RecordText> record, const std::string& what) {
  if (!record)
    throw InputError(what + " cannot be read");
  return *std::move(record);
}

bool same_but_for_capitals(const std::string& a, const std::string& b) {
  const auto small = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [&](char x, char y) { return small(x) == small(y); });
}

/// The words of a composition; "C=0.8, Mn=0.7" gives the same as "C 0.8 Mn 0.7".
std::vector<std::string> words_of(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return c == '=' || c == ',' || c == ';' || c == '%'; }, ' ');
  std::istringstream in(text);
  return {std::istream_iterator<std::string>(in), {}};
}

} // namespace

bool is_composition(const std::string& asked) {
  const std::vector<std::string> words = words_of(asked);
  return words.size() >= 2 &&
         std::any_of(steel::analysed_elements.begin(), steel::analysed_elements.end(),
                     [&](const steel::AnalysedElement& e) { return words[0] == e.symbol; });
}

Composition read_composition_text(const std::string& text) {
  const std::vector<std::string> words = words_of(text);
  Composition wt;
  for (std::size_t i = 0; i < words.size(); i += 2) {
    const auto element = std::find_if(steel::analysed_elements.begin(), steel::analysed_elements.end(),
                                      [&](const steel::AnalysedElement& e) { return words[i] == e.symbol; });
    if (element == steel::analysed_elements.end())
      throw InputError("composition: '" + words[i] +
                       "' is no element known here; C, Mn, Si, Cr, Ni, Mo, V, W, Cu, P and S are, in wt%");
    if (i + 1 == words.size())
      throw InputError("composition: '" + words[i] + "' stands without its wt%");
    try {
      wt.*element->share = units::parse_number(words[i + 1]);
    } catch (const units::QuantityError& error) {
      throw InputError("composition: " + words[i] + ": " + error.what());
    }
    if (wt.*element->share < 0 || wt.*element->share > 100)
      throw InputError("composition: " + words[i] + " " + words[i + 1] + " wt%; allowed: 0 to 100");
  }
  return wt;
}

std::string why_not_covered(const Composition& wt) {
  for (const steel::AnalysedElement& e : steel::analysed_elements)
    if (const double share = wt.*e.share; share < e.least_wt || share > e.most_wt)
      return std::string(e.symbol) + " " + units::format_number(share) +
             " wt% is beyond the models; allowed: " + units::format_number(e.least_wt) + " to " +
             units::format_number(e.most_wt);
  return {};
}

SubjectReader::SubjectReader(const RecordSource& records) : source_(records) {
  const RecordText model =
                       found(source_.shipped(RecordKind::temper_model, "temper_model"), "temper_model.toml"),
                   phases = found(source_.shipped(RecordKind::phases, "phases"), "phases.toml");
  model_ = steel::read_temper_model(model.text, model.file);
  phases_ = records::read_phases(phases.text, phases.file);
}

Subject SubjectReader::read(const std::string& asked) {
  if (is_composition(asked)) {
    const Composition wt = read_composition_text(asked);
    if (const std::string why = why_not_covered(wt); !why.empty())
      throw InputError("composition: " + why);
    return of_composition(wt);
  }
  RecordText text;
  if (is_record_path(asked)) {
    text = found(source_.at_path(RecordKind::steel, asked), asked);
  } else {
    const std::vector<std::string> keys = source_.keys(RecordKind::steel);
    const auto same = std::find_if(keys.begin(), keys.end(),
                                   [&](const std::string& k) { return same_but_for_capitals(k, asked); });
    const std::string key = same != keys.end() ? *same : key_by_title(source_, RecordKind::steel, asked);
    if (key.empty()) {
      std::string all;
      for (const std::string& k : keys)
        all += (all.empty() ? "" : ", ") + k;
      const std::string near = records::nearest(asked, keys);
      throw InputError("no steel is called '" + asked + "'; " +
                       (near.empty() ? "" : "did you mean '" + near + "'? ") + all +
                       ", the path of a record, or a composition such as C 0.8 Mn 0.7 Si 0.2 is expected");
    }
    text = found(source_.shipped(RecordKind::steel, key), key);
  }
  Subject subject;
  subject.record = records::read_steel(text.text, text.file, phases_);
  if (subject.record.inert)
    throw InputError(text.file + ": this steel does not transform (inert = true), there is nothing to ask");
  subject.name = subject.record.key + ", " + subject.record.designation;
  if (const std::size_t filled = steel::filled_values(subject.record); filled > 0)
    subject.outside.push_back(
        std::to_string(filled) +
        " values are not in the record, rules with wide bands stand in (thinquench stock "
        "--gaps lists them)");
  return subject;
}

Subject SubjectReader::of_composition(const Composition& wt) const {
  steel::BareSteel bare = steel::bare_steel(wt, phases_, model_);
  return {steel::analysis_text(wt) + " (composition, wt%)", std::move(bare.record), true,
          std::move(bare.outside)};
}

HardeningAnswer answer_hardening(const Subject& subject, const HardeningQuestion& question) {
  const records::SteelRecord& s = subject.record;
  const records::Austenitising& usual = s.austenitising;
  HardeningAnswer h;
  h.temperature_degC =
      question.temperature_degC.value_or(0.5 * (usual.hardening_from_degC + usual.hardening_to_degC));
  h.soak_s = question.soak_s.value_or(usual.asked_soak_s);
  h.cooled_to_degC = question.cooled_to_degC;
  h.ac1_degC = steel::ac1(s);
  h.ac1_end_degC = steel::ac1_end(s);
  h.acm_degC = steel::acm_temperature(s);
  h.ae1_degC = steel::ae1_grange(s.composition);

  const double T = h.temperature_degC;
  h.austenite_formed = steel::austenite_after(s, T, h.soak_s);
  const double born = steel::born_carbon(s), full = steel::saturation_carbon(s, T);
  h.carbon_wt = full - (full - born) * math::exp(-h.soak_s * steel::dissolution_rate(s, question.start, T));
  h.cementite = h.austenite_formed * steel::undissolved_cementite(s, h.carbon_wt);
  h.ms_degC = steel::martensite_start(s, h.carbon_wt);
  h.ms_band_K = steel::martensite_start_band(s.composition, h.carbon_wt);
  h.ms_andrews_degC = steel::ms_andrews(s.transformation.matrix, h.carbon_wt);
  h.ms_payson_savage_degC = steel::ms_payson_savage(s.transformation.matrix, h.carbon_wt);

  const double matrix = h.austenite_formed - h.cementite;
  const auto turned = [&](double alpha) {
    return steel::martensite_share(h.ms_degC, h.cooled_to_degC, alpha);
  };
  const double share = turned(steel::martensite_rate(s, h.carbon_wt));
  h.martensite = matrix * share;
  h.retained_austenite = matrix - h.martensite;
  h.retained_austenite_low =
      matrix * (1.0 - turned(steel::martensite_rate_van_bohemen(s.transformation.matrix, h.carbon_wt)));
  h.retained_austenite_km = matrix * (1.0 - turned(0.011));
  h.ferrite = 1.0 - h.austenite_formed;
  h.hardness_HV = steel::mixture_hv({h.martensite, h.retained_austenite, 0, 0, h.ferrite, h.cementite},
                                    steel::martensite_hv(s, h.carbon_wt), s.hardness);
  h.hardness_HRC = steel::hrc_from_hv(h.hardness_HV);
  h.hardness_band_HRC = steel::as_quenched_band_HRC(h.retained_austenite, h.ferrite);
  Composition austenite = s.transformation.matrix;
  austenite.C = h.carbon_wt;
  h.maynier_HV = h.carbon_wt <= 0.5 ? steel::martensite_hv_maynier(austenite, 100.0) : NAN;

  h.outside = subject.outside;
  if (T <= h.ac1_degC)
    h.outside.push_back("the hardening temperature is not above Ac1: no austenite forms; was degC meant?");
  else if (h.austenite_formed < sound_austenite)
    h.outside.push_back(formatted("only %.0f %% of the matrix became austenite", 100 * h.austenite_formed) +
                        (T < h.ac1_end_degC
                             ? formatted("; ferrite stays below %.0f degC (%.0f degF) however long the soak",
                                         h.ac1_end_degC, h.ac1_end_degC * 1.8 + 32)
                             : ""));
  else if (h.carbon_wt < usual.carbon_wanted_wt)
    h.outside.push_back(
        formatted("%.2f %%C in solution is less than the %.2f wanted", h.carbon_wt, usual.carbon_wanted_wt));
  if (T > 1000)
    h.outside.push_back("hardening above 1000 degC (1832 degF): outside the A_cm line the model rests on");
  return h;
}

namespace {
steel::Constituents quenched_shares(const HardeningAnswer& h) {
  return {h.martensite, h.retained_austenite, 0, 0, h.ferrite, h.cementite};
}
} // namespace

TemperAnswer answer_temper(const Subject& subject, const TemperQuestion& question,
                           const HardeningAnswer& hardening, const steel::TemperModel& model) {
  const records::SteelRecord& s = subject.record;
  TemperAnswer t;
  t.question = question;
  t.after_flash_HRC = NAN;
  const double whole_time = question.hold_s * question.cycles;
  const double T = question.temperature_degC;
  const steel::Tempered cycles =
      steel::temper_cycles(T, question.hold_s, question.cycles, s.temper.hj_constant_h).back();
  t.retained_austenite = hardening.retained_austenite * cycles.austenite_left;
  if (subject.by_composition) {
    // no temper hardens but by what its austenite turns to
    const double most_HV =
        hardening.hardness_HV + (hardening.retained_austenite - t.retained_austenite) *
                                    (s.hardness.bainite_HV - s.hardness.retained_austenite_HV);
    const steel::TemperEstimate e = steel::tempered_hardness(model, s.composition, T, whole_time);
    t.hardness_HV = std::min(e.hardness_HV, most_HV);
    t.hardness_HRC = steel::hrc_from_hv(t.hardness_HV);
    t.band_HRC = e.band_HRC;
    t.outside = e.outside;
    t.from = "composition model";
    if (question.flash_degC) {
      constexpr double hour_s = 3600.0;
      const double constant = steel::temper_constant(model, s.composition.C);
      const double parameter = steel::add_tempering(steel::hollomon_jaffe(T, whole_time, constant),
                                                    *question.flash_degC, question.flash_s, constant);
      t.after_flash_HRC = steel::hrc_from_hv(std::min(
          most_HV,
          steel::tempered_hardness(model, s.composition,
                                   steel::equivalent_temperature(parameter, hour_s, constant), hour_s)
              .hardness_HV));
    }
  } else {
    const steel::TemperResponse response = steel::TemperResponse::of_martensite(s);
    const double constant = s.temper.hj_constant_h;
    steel::Tempered tempered = cycles;
    const auto hv = [&] {
      return steel::tempered_hv(s, response, quenched_shares(hardening), hardening.carbon_wt, tempered);
    };
    const bool inside = response.inside(tempered.parameter);
    t.hardness_HV = hv();
    t.hardness_HRC = steel::hrc_from_hv(t.hardness_HV);
    if (question.flash_degC) {
      tempered = steel::temper_over({{0.0, *question.flash_degC}, {question.flash_s, *question.flash_degC}},
                                    constant, tempered);
      t.after_flash_HRC = steel::hrc_from_hv(hv());
    }
    t.band_HRC = steel::temper_band_HRC(s.temper, tempered.parameter);
    t.from = "curve of " + s.key;
    if (!inside)
      t.outside.push_back("outside the published table");
  }
  t.brittle = s.brittle_to_degC > 0 && T >= s.brittle_from_degC && T <= s.brittle_to_degC;
  if (T >= hardening.ac1_degC) {
    t.hardness_HRC = t.hardness_HV = t.retained_austenite = t.after_flash_HRC = NAN;
    t.outside.push_back("at or above Ac1: this hardens afresh and is no temper");
  }
  if (question.flash_degC && *question.flash_degC >= hardening.ac1_degC) {
    t.after_flash_HRC = NAN;
    t.outside.push_back("a flash at or above Ac1 hardens afresh and leaves brittle skin");
  } else if (question.flash_degC) {
    t.outside.push_back("flash: seconds lie beyond any tempering measured, 2 HRC of doubt");
  }
  return t;
}

DiagramAnswer answer_diagram(const Subject& subject, const HardeningAnswer& hardening, bool with_rows) {
  const records::Transformation& t = subject.record.transformation;
  const steel::SoakState soak =
      steel::soak_over({{0, hardening.temperature_degC}, {hardening.soak_s, hardening.temperature_degC}},
                       subject.record, records::StartState::spheroidised);
  const double grain = steel::grain_number(soak.grain_m);
  const steel::Decomposition d(subject.record, hardening.carbon_wt, grain);
  DiagramAnswer a;
  a.carbon_wt = hardening.carbon_wt;
  a.pearlite_nose = steel::pearlite_nose(d);
  a.bainite_nose = steel::bainite_nose(d);
  a.critical = steel::critical_rate(d);
  a.times_band = t.factor_uncertainty;
  a.bainite_band = t.bainite_uncertainty;
  a.kirkaldy_nose_s = INFINITY;
  for (double T = d.ae1() - 250.0; T < d.ae1() - 20.0; T += 2.0)
    a.kirkaldy_nose_s =
        std::min(a.kirkaldy_nose_s, steel::kirkaldy_pearlite_time(t.matrix, grain, d.ae1(), T, 0.01));
  if (with_rows) {
    a.rows = steel::isothermal_diagram(d);
    for (const double share : {2.0, 1.1, 0.7, 0.4, 0.2, 0.1, 0.05})
      a.cooling.push_back(
          steel::cool_at_constant_rate(d, steel::martensite_rate(subject.record, hardening.carbon_wt),
                                       share * a.critical.both, hardening.cooled_to_degC));
  }
  return a;
}

} // namespace tq::treatment
