#include "answers/cautions.hpp"

#include "answers/bath_limit.hpp"
#include "answers/telling.hpp"

#include <cmath>
#include <string>

namespace tq::answers {

namespace {

using treatment::Case;
using treatment::Part;

// Below this the cold no longer comes from a household freezer but from dry ice or liquid nitrogen [degC].
constexpr double dry_ice_below_degC = -40.0;

std::string flash_caution(const Case& c, const treatment::Bath& oil) {
  const double margin = c.thresholds.flash_margin_K;
  const std::string distance = difference_text(margin);
  if (!oil.coolant.flash_degC)
    return "The flash point is not stated: take it from the oil's sheet and stay at least " + distance +
           " below it (29 CFR 1910.126).";
  const BathLimit limit = row_limit(oil, margin);
  return "No further blade into oil above " + told(Show::at_most_degC, limit.degC) + ": there " + limit.by +
         "; never within " + distance + " of its flash point of " +
         temperature_text(*oil.coolant.flash_degC) + " (29 CFR 1910.126).";
}

/// All cautions of a case, in the order of the work.
class Cautions {
 public:
  explicit Cautions(const Case& given) : c(given) {
    heating();
    oil_bath();
    quench();
    after();
    say("all",
        "Local fire and workplace codes and licensed practice come before anything said here; these are "
        "figures of a simplified model, so prove them on a coupon of the same bar.");
  }

  std::vector<Caution> all;

 private:
  void say(const char* beside, std::string text, bool of_limit = false) {
    all.push_back({beside, std::move(text), of_limit});
  }
  static bool is(const treatment::Bath& b, records::CoolantKind kind) {
    return b.coolant.kind == kind && !b.plates;
  }
  void heating();
  void oil_bath();
  void quench();
  void after();

  const Case& c;
  const bool quenched = c.quenched();
  const bool oil_first = quenched && is(c.bath(), records::CoolantKind::oil);
  const bool oil =
      oil_first || (quenched && c.second_bath() && is(*c.second_bath(), records::CoolantKind::oil));
  const bool water = quenched && c.bath().coolant.kind == records::CoolantKind::water;
};

void Cautions::heating() {
  if (c.heated()) {
    say("furnace", "Switch the elements off, or trust a door switch you have tested, before reaching in.");
    say("furnace", "Stand aside of the open door's heat; a respirator when brick or fibre sheds dust.");
  }
  if (c.wrap.layers > 0 && (c.heated() || c.carried() || quenched)) {
    say("foil", "Foil edges cut like razors: gloves, and fold or hammer the edges over.");
    say("foil",
        "A tight packet puffs out hot gas: only a scrap of paper inside, never open it in the furnace.");
    if (!c.wrap.on_in_oil && (c.carried() || quenched))
      say("foil",
          "Red-hot foil tears into burning strips: cut its end with long snips at arm's length, let nobody "
          "stand below or behind.");
    if (oil && c.wrap.on_in_oil)
      say("foil", "A packet plunged shut belches hot gas through the oil and may flare: keep face and hands "
                  "back.");
  }
  if (c.carried() || quenched)
    say("transfer",
        "Face shield, leather or wool and no synthetics; a clear path, nobody between furnace and "
        "bath.");
}

void Cautions::oil_bath() {
  if (oil) {
    say("oil", flash_caution(c, oil_first ? c.bath() : *c.second_bath()), true);
    say("oil", "A lid that closes the tank and a class B extinguisher (class K or F for cooking oil) within "
               "reach; never water on burning oil.");
    say("oil",
        "Used or dirty oil flashes lower than its sheet says; never used motor oil. Let it cool between "
        "blades.");
    say("workshop",
        "Oily rags heat themselves and burn hours later: spread them flat outdoors or keep them in a closed "
        "steel can.");
    say("workshop",
        "No grinding near the tank: sparks and the dust of the grinder light oil and its vapour.");
    say("oil", "Water in the oil boils and throws it out as foam: keep the tank dry and covered, replace oil "
               "that crackles.");
    say("oil", "Plunge all that is hot, tongs included: hot steel half out of the oil is what lights it.");
    say("oil", "A steel tank with a wide base, not full to the brim, away from all that burns; never warm it "
               "over a flame.");
    say("oil",
        "Oil smoke irritates, hot vegetable oil gives off acrolein: ventilate, do not bend over the tank. "
        "Never alone.");
  }
  if (oil_first && c.bath().blades > 1)
    say("oil",
        "Several blades in a row: read a thermometer in the stirred oil before each, and stop at the limit "
        "whatever was computed; lid and extinguisher stay at hand until the last is cold.");
  if (oil_first && c.bath().water > 0)
    say("oil", "Water was found in this oil: it lies on the floor of the tank and boils up under the blade. "
               "Replace the oil, do not cook the water out of a full tank.");
  if (oil_first && c.bath().immersion_m > 0)
    say("oil",
        "Edge only: the red-hot part above the oil lights its vapour. Expect flame; tongs long, face back, "
        "lid and extinguisher at hand, and nobody alone.");
  if (oil && water)
    say("oil",
        "From water into oil: a wet blade carries water into the oil, which boils over. Shake it dry, go "
        "in hot, keep the lid ready.");
}

void Cautions::quench() {
  if (quenched && c.bath().out_at_degC && c.cooled()) {
    if (oil)
      say("oil", "Lifted hot, oil on the blade smokes and may catch fire in the air: not above the smoke "
                 "temperature, away from the tank.");
    say("as quenched",
        "Straighten only while it is still soft, in gloves and face shield, out of line with the "
        "blade; stop at once when it stiffens.");
  }
  if (quenched && (c.bath().plates || (c.second_bath() && c.second_bath()->plates)))
    say("transfer",
        "Plates pinch and grow hot: handles on both, the clamp within reach before the furnace opens.");
  if (c.surface.painted && c.heated())
    say("workshop", "Paint against scale gives off fumes as it burns in: ventilate the furnace.");
  if (c.coat && (c.heated() || quenched))
    say("transfer", "Clay must be bone dry: wet clay bursts off in the furnace and spits.");
  if (water)
    say("transfer", "Red-hot steel makes water and brine spit and steam: dry gloves, face well back.");
}

void Cautions::after() {
  if ((quenched || c.cooled()) && !c.steel.inert)
    say("as quenched", "An untempered blade breaks like glass: do not drop, hammer or bend it, temper within "
                       "the hour; eye protection for every test.");
  if (c.cooled() && c.lowest_degC() < 0.0) {
    say("cold", "Deep cold can crack an untempered blade: cool it slowly and evenly.");
    if (c.lowest_degC() < dry_ice_below_degC)
      say("cold",
          "Dry ice and liquid nitrogen burn the skin and drive out the air: gloves, ventilation, never "
          "a sealed vessel.");
  }
  if (c.tempered()) {
    if (oil)
      say("temper", "Wipe off every trace of oil first: an oily blade smokes and can burn in the oven.");
    say("workshop", "Never again food in an oven that tempered oily or painted steel.");
    say("temper", "Do not leave the oven alone for the whole hold; blade, clamps and shims come out hot.");
  }
}

} // namespace

std::vector<Caution> cautions_for(const Case& c) { return Cautions(c).all; }

} // namespace tq::answers
