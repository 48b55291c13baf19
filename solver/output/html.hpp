// Pieces of HTML that the pages share.
#pragma once

#include <string>
#include <string_view>

namespace tq::output {

/// Text of ours as HTML: escaped, "degC" as degree signs, and every quantity that stands with both units
/// wrapped so that a style sheet can hide either (classes tC, tF, both; tM, tI, bothL). Who writes the text
/// writes both units; none is worked out from the other here.
std::string with_units(std::string_view text);
/// The same without wrapping, for titles: plain text, escaped.
std::string plain_units(std::string_view text);

/// From the doctype up to and with <body>. The style and the script stand inside, allowed by their hashes
/// under a policy that allows nothing else: no network, no other script.
std::string page_head(const std::string& title, std::string_view css, std::string_view script);
/// The script, and the end of the page.
std::string page_foot(std::string_view script);

} // namespace tq::output
