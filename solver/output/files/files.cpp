#include "output/files/files.hpp"

#include "output/text.hpp"

#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace tq::output {
namespace {

[[noreturn]] void fail(const std::filesystem::path& path, const std::string& reason) {
  throw WriteError("cannot write " + path.string() + ": " + reason);
}

[[noreturn]] void fail(const std::filesystem::path& path, int error) { fail(path, std::strerror(error)); }

std::filesystem::path folder_of(const std::filesystem::path& target) {
  return target.has_parent_path() ? target.parent_path() : std::filesystem::path(".");
}

int open_nameless(const std::filesystem::path& folder) {
  return ::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0666);
}

std::string by_descriptor(int descriptor) { return "/proc/self/fd/" + std::to_string(descriptor); }

constexpr const char* ending = ".part";

/// A name beside `target` for which `make` returned something else than -1 with EEXIST; its value goes to
/// `made`.
template <class Make>
std::filesystem::path temporary_name(const std::filesystem::path& target, int& made, const Make& make) {
  static std::atomic<unsigned> counter{0};
  for (int tries = 0; tries < 100; ++tries) {
    const std::filesystem::path candidate =
        folder_of(target) / formatted(".%s.%ld.%u%s", target.filename().c_str(),
                                      static_cast<long>(::getpid()), counter++, ending);
    made = make(candidate);
    if (made != -1)
      return candidate;
    if (errno != EEXIST)
      fail(target, errno);
  }
  fail(target, "no free temporary name beside it");
}

/// Removes what runs that were killed have left beside `target`: ours, and of processes that are no more.
void remove_leftovers(const std::filesystem::path& target) {
  const std::string start = "." + target.filename().string() + ".";
  std::error_code none;
  for (std::filesystem::directory_iterator entry(folder_of(target), none), end; !none && entry != end;
       entry.increment(none)) {
    const std::string name = entry->path().filename().string();
    if (name.compare(0, start.size(), start) != 0 || entry->path().extension() != ending)
      continue;
    char* rest = nullptr;
    const long process = std::strtol(name.c_str() + start.size(), &rest, 10);
    struct stat file {};
    if (process <= 0 || *rest != '.' || ::kill(static_cast<pid_t>(process), 0) == 0 || errno != ESRCH ||
        ::lstat(entry->path().c_str(), &file) != 0 || !S_ISREG(file.st_mode) || file.st_uid != ::geteuid())
      continue;
    ::unlink(entry->path().c_str());
  }
}

/// Holds back the signals that end a program.
class SignalsHeld {
 public:
  SignalsHeld() {
    sigset_t held;
    sigemptyset(&held);
    for (const int signal : {SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGPIPE, SIGALRM, SIGUSR1, SIGUSR2})
      sigaddset(&held, signal);
    pthread_sigmask(SIG_BLOCK, &held, &former_);
  }
  ~SignalsHeld() { pthread_sigmask(SIG_SETMASK, &former_, nullptr); }
  SignalsHeld(const SignalsHeld&) = delete;
  SignalsHeld& operator=(const SignalsHeld&) = delete;

 private:
  sigset_t former_{};
};

} // namespace

void require_writable_folder(const std::filesystem::path& folder) {
  std::filesystem::path existing = std::filesystem::absolute(folder).lexically_normal();
  std::error_code none;
  while (!std::filesystem::exists(std::filesystem::symlink_status(existing, none)) &&
         existing.has_relative_path())
    existing = existing.parent_path();
  if (!std::filesystem::is_directory(existing, none))
    fail(folder, existing.string() + " is no folder");
  if (const int nameless = open_nameless(existing); nameless >= 0) {
    ::close(nameless);
    return;
  }
  // Not known there, or not allowed: a file with a name tells, and says why.
  int named = -1;
  const std::filesystem::path tried =
      temporary_name(existing / "trial", named, [](const std::filesystem::path& name) {
        return ::open(name.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      });
  ::close(named);
  ::unlink(tried.c_str());
}

PendingFile::PendingFile(std::filesystem::path target, bool named) : target_(std::move(target)) {
  std::error_code error;
  std::filesystem::create_directories(folder_of(target_), error);
  if (error)
    fail(target_, error.message());
  if (std::filesystem::is_directory(target_, error))
    fail(target_, "a folder of this name exists");
  remove_leftovers(target_);
  descriptor_ = named ? -1 : open_nameless(folder_of(target_));
  if (descriptor_ >= 0 && ::access(by_descriptor(descriptor_).c_str(), F_OK) == 0)
    return;
  if (descriptor_ >= 0)
    ::close(descriptor_); // without /proc it could not be given a name
  temporary_ = temporary_name(target_, descriptor_, [](const std::filesystem::path& name) {
    return ::open(name.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  });
}

PendingFile::~PendingFile() {
  if (descriptor_ >= 0)
    ::close(descriptor_);
  if (!temporary_.empty())
    ::unlink(temporary_.c_str());
}

PendingFile::PendingFile(PendingFile&& other) noexcept
    : target_(std::move(other.target_)), temporary_(std::exchange(other.temporary_, {})),
      descriptor_(std::exchange(other.descriptor_, -1)) {}

void PendingFile::write(std::string_view content) const {
  if (::ftruncate(descriptor_, 0) != 0 || ::lseek(descriptor_, 0, SEEK_SET) != 0)
    fail(target_, errno);
  append(content);
}

void PendingFile::append(std::string_view content) const {
  while (!content.empty()) {
    const ssize_t written = ::write(descriptor_, content.data(), content.size());
    if (written < 0 && errno == EINTR)
      continue;
    if (written < 0)
      fail(target_, errno);
    content.remove_prefix(static_cast<std::size_t>(written));
  }
}

void PendingFile::make_ready() {
  // Some file systems cannot sync a file (EINVAL); the rename is still atomic there.
  if (::fsync(descriptor_) != 0 && errno != EINVAL)
    fail(target_, errno);
  if (temporary_.empty()) {
    int linked = -1;
    temporary_ = temporary_name(target_, linked, [&](const std::filesystem::path& name) {
      return ::linkat(AT_FDCWD, by_descriptor(descriptor_).c_str(), AT_FDCWD, name.c_str(),
                      AT_SYMLINK_FOLLOW);
    });
  }
  struct stat opened {
  }, named{};
  if (::fstat(descriptor_, &opened) != 0 || ::lstat(temporary_.c_str(), &named) != 0 ||
      opened.st_ino != named.st_ino || opened.st_dev != named.st_dev) {
    temporary_.clear(); // not ours to remove
    fail(target_, "somebody put another file in the place of the temporary one");
  }
}

void PendingFile::commit() {
  make_ready();
  if (::rename(temporary_.c_str(), target_.c_str()) != 0)
    fail(target_, errno);
  temporary_.clear();
}

void commit_together(std::vector<PendingFile>& files) {
  for (const PendingFile& file : files) {
    std::error_code error;
    if (std::filesystem::is_directory(file.target_, error))
      fail(file.target_, "a folder of this name exists");
  }
  for (PendingFile& file : files)
    file.make_ready();
  const SignalsHeld held;
  for (PendingFile& file : files) {
    if (::rename(file.temporary_.c_str(), file.target_.c_str()) != 0)
      fail(file.target_, errno);
    file.temporary_.clear();
  }
}

} // namespace tq::output
