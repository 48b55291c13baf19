// The hardness that is wanted and the zones that are to have it, of the whole case or of one station.
#include "treatment/keys/key.hpp"
#include "treatment/run.hpp"

#include <algorithm>
#include <cctype>
#include <cstdlib>

namespace tq::treatment::keys {

using records::toml_string;

namespace {

const std::vector<std::string> zone_words = {"edge", "middle", "spine", "thickest"};

} // namespace

std::string read_wish(const Scope& k, HardnessWish& wish) {
  if (!k.given("hardness"))
    return "";
  const std::string written = k.node->written("hardness");
  const auto one_of = [](double hrc) { return toml_string(brief(hrc, "hardness_HRC")); };
  if (const std::size_t dash = written.find('-', 1);
      k.node->is_text("hardness") && dash != std::string::npos) { // "60-62 HRC"
    const double from = std::strtod(written.c_str() + 1, nullptr),
                 to = std::strtod(written.c_str() + dash + 1, nullptr);
    if (from > 0 && to >= from)
      k.fail("hardness", written + " is a range in one text; write the least and the most, like [" +
                             one_of(from) + ", " + one_of(to) + "]");
  }
  if (!written.empty() && (std::isdigit(static_cast<unsigned char>(written[0])) != 0)) {
    const double hrc = std::strtod(written.c_str(), nullptr);
    k.fail("hardness", written + " is one number; write the least and the most with their unit, like [" +
                           one_of(hrc - 1) + ", " + one_of(hrc + 1) + "]");
  }
  if (k.node->is_text("hardness")) {
    const double hrc = k.node->quantity("hardness", "hardness_HRC", {20, 68});
    const auto around = [&](double change) { return toml_string(brief(hrc + change, "hardness_HRC")); };
    k.fail("hardness", toml_string(k.node->text("hardness")) +
                           " is one value; write the least and the most, like [" + around(-1) + ", " +
                           around(1) + "]");
  }
  const auto range = k.node->quantities("hardness", "hardness_HRC", {20, 68});
  if (range.size() != 2)
    k.fail("hardness",
           "two values are wanted, the least and the most, like [\"60 HRC\", \"62 HRC\"]; there are " +
               std::to_string(range.size()));
  if (range[0] > range[1])
    k.fail("hardness", brief(range[0], "hardness_HRC") + " to " + brief(range[1], "hardness_HRC") +
                           " is reversed; write the least first");
  wish = {range[0], range[1]};
  return quantities_text(range, "hardness_HRC");
}

std::string zones_text(const WantedZones& zones, Wanted wanted, bool said) {
  const auto any = [&](Wanted w) { return std::find(zones.begin(), zones.end(), w) != zones.end(); };
  if (!any(wanted) || !(said || any(Wanted::soft) || (wanted == Wanted::hard && any(Wanted::either))))
    return "";
  std::string out;
  for (std::size_t z = 0; z < zones.size(); ++z)
    if (zones[z] == wanted)
      out += (out.empty() ? "[" : ", ") + toml_string(zone_words[z]);
  return out + "]";
}

void read_wanted_zones(const Scope& k, WantedZones& zones) {
  const auto named = [&](const char* key, Wanted wanted) {
    for (const std::string& word : k.node->texts(key)) {
      const auto at = std::find(zone_words.begin(), zone_words.end(), word);
      if (at == zone_words.end())
        k.fail(key, toml_string(word) + " is no zone; allowed: " + list(zone_words));
      Wanted& zone = zones[static_cast<std::size_t>(at - zone_words.begin())];
      if (wanted == Wanted::soft && k.given("harden") && zone == Wanted::hard)
        k.fail(key, toml_string(word) + " stands under harden as well; a zone is one or the other");
      zone = wanted;
    }
  };
  if (k.given("harden")) {
    zones.fill(Wanted::either);
    named("harden", Wanted::hard);
  }
  if (k.given("soft"))
    named("soft", Wanted::soft);
  if (k.given("soft_spine") && k.node->flag("soft_spine", false))
    for (const Zone zone : {zone_spine, zone_thickest}) {
      if (k.given("harden") && zones[zone] == Wanted::hard)
        k.fail("soft_spine",
               toml_string(zone_words[zone]) + " stands under harden; a spine is to harden or may stay soft");
      if (zones[zone] == Wanted::hard)
        zones[zone] = Wanted::either;
    }
  if (std::none_of(zones.begin(), zones.end(), [](Wanted w) { return w == Wanted::hard; }))
    k.fail(k.given("harden") ? "harden" : "soft", "leaves no zone to harden; allowed: " + list(zone_words));
}

} // namespace tq::treatment::keys
