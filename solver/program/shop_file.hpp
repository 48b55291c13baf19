// The journal of a shop as a file: found, read, appended to by one program at a time.
#pragma once

#include "program/options.hpp"
#include "shop/journal.hpp"

#include <filesystem>
#include <optional>
#include <string>

namespace tq::program {

/// The name under which it is looked for.
inline constexpr const char* shop_file_name = "shop.toml";

/// The journal that a command uses: --shop, else shop.toml in `beside`, else in thinquench/ of the user's
/// configuration folder (XDG_CONFIG_HOME, ~/.config); nothing with --no-shop or where there is none. One
/// named by --shop must be there unless it is to be `made`. Throws records::InputError.
std::optional<std::filesystem::path> find_shop(const Options& options, const std::filesystem::path& beside,
                                               bool made = false);
/// Throws records::InputError when it cannot be read.
shop::Journal open_shop(const std::filesystem::path& file);

/// Puts `entry` at the end, or begins the journal with it. A program that does the same at that time waits;
/// whatever ends this one, the file is as it was or holds the entry too. Throws records::InputError when what
/// is there is no journal, output::WriteError.
void append_entry(const std::filesystem::path& file, const std::string& entry);

/// `path` as the journal names it: from its folder where that is shorter than from the root.
std::string path_from_shop(const std::filesystem::path& shop_file, const std::filesystem::path& path);
/// The same read back.
std::filesystem::path path_of_shop(const std::filesystem::path& shop_file, const std::string& written);

} // namespace tq::program
