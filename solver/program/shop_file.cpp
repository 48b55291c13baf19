#include "program/shop_file.hpp"

#include "output/files/files.hpp"
#include "program/material_library.hpp"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

namespace tq::program {
namespace {

namespace fs = std::filesystem;

/// Holds the folder for as long as it lives; the system lets go when the program ends, however it does.
class FolderLock {
 public:
  explicit FolderLock(const fs::path& folder)
      : descriptor_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    int done = descriptor_;
    while (done >= 0 && (done = ::flock(descriptor_, LOCK_EX)) != 0 && errno == EINTR) {
    }
    if (done < 0)
      throw output::WriteError("cannot lock " + folder.string() + ": " + std::strerror(errno));
  }
  ~FolderLock() { ::close(descriptor_); }
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

 private:
  int descriptor_;
};

fs::path configuration_folder() {
  if (const char* own = std::getenv("XDG_CONFIG_HOME"); own != nullptr && *own == '/')
    return fs::path(own) / "thinquench";
  if (const char* home = std::getenv("HOME"); home != nullptr && *home == '/')
    return fs::path(home) / ".config" / "thinquench";
  return {};
}

bool is_file(const fs::path& path) {
  std::error_code none;
  return fs::is_regular_file(path, none);
}

} // namespace

std::optional<fs::path> find_shop(const Options& options, const fs::path& beside, bool made) {
  if (options.shop.none && options.shop.file)
    throw UsageError("--shop and --no-shop: one of them");
  if (options.shop.none)
    return {};
  if (options.shop.file) {
    if (!made && !is_file(*options.shop.file))
      throw records::InputError("--shop: there is no file " + options.shop.file->string() +
                                "; `thinquench note --shop FILE` begins one");
    return *options.shop.file;
  }
  for (const fs::path& folder : {beside.empty() ? fs::path(".") : beside, configuration_folder()})
    if (!folder.empty() && is_file(folder / shop_file_name))
      return folder / shop_file_name;
  return {};
}

shop::Journal open_shop(const fs::path& file) {
  return shop::read_journal(read_case_text(file.string()), file.string());
}

void append_entry(const fs::path& given, const std::string& entry) {
  std::error_code none;
  const fs::path real = fs::canonical(given, none);
  const fs::path file = real.empty() ? given : real; // a link stays one
  const fs::path folder = file.has_parent_path() ? file.parent_path() : fs::path(".");
  output::require_writable_folder(folder);
  const FolderLock lock(folder);
  std::string text;
  if (is_file(file)) {
    text = read_case_text(file.string());
    shop::read_journal(text, file.string());
    if (!text.empty() && text.back() != '\n')
      text += '\n';
  } else {
    text = shop::new_journal("my shop");
  }
  output::PendingFile pending(file);
  pending.write(text + entry);
  pending.commit();
}

std::string path_from_shop(const fs::path& shop_file, const fs::path& path) {
  std::error_code none;
  const fs::path folder = fs::weakly_canonical(fs::absolute(shop_file).parent_path(), none),
                 whole = fs::weakly_canonical(fs::absolute(path), none),
                 relative = whole.lexically_relative(folder);
  return relative.empty() || relative.string().size() > whole.string().size() ? whole.string()
                                                                              : relative.string();
}

fs::path path_of_shop(const fs::path& shop_file, const std::string& written) {
  const fs::path path(written);
  return path.is_absolute() ? path : shop_file.parent_path() / path;
}

} // namespace tq::program
