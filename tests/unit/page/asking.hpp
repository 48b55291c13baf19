// What the tests of the page's face share: a blade that is computed in a wink, and a question as text in and
// out.
#pragma once

#include "page/bench.hpp"

#include <nlohmann/json.hpp>

namespace tq::page {

using Json = nlohmann::ordered_json;

inline constexpr const char* small_blade =
    "format = 1\n[blade]\nsteel = \"1084\"\nlength = \"100 mm\"\n[[blade.station]]\n"
    "width = \"20 mm\"\nspine = \"2 mm\"\nedge = \"0.5 mm\"\n[solver]\nalong = 24\n"
    "tolerance = \"1 K\"\n[temper]\noven = \"205 degC\"\n";

inline Json ask(Bench& bench, const char* what, const Json& asked = Json::object()) {
  return Json::parse(bench.ask(what, asked.dump()));
}

} // namespace tq::page
