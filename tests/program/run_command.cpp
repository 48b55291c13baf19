#include "run_command.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <poll.h>
#include <stdexcept>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace tq::test {
namespace {

[[noreturn]] void fail(const char* what) { throw std::system_error(errno, std::generic_category(), what); }

struct Pipe {
  int read_end = -1, write_end = -1;
  Pipe() {
    std::array<int, 2> ends{};
    if (pipe2(ends.data(), O_CLOEXEC) != 0)
      fail("pipe2");
    read_end = ends[0];
    write_end = ends[1];
  }
};

/// Master end of a new pseudo-terminal; the name of its other end goes to `name`.
int open_terminal(std::string& name) {
  const int master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (master < 0 || grantpt(master) != 0 || unlockpt(master) != 0)
    fail("posix_openpt");
  name = ptsname(master);
  return master;
}

/// In the child: becomes the program or ends with 127.
[[noreturn]] void become(const Request& request, int in, int out, int err) {
  dup2(in, STDIN_FILENO);
  dup2(out, STDOUT_FILENO);
  dup2(err, STDERR_FILENO);
  for (const auto& [name, value] : request.environment)
    setenv(name.c_str(), value.c_str(), 1);
  if (!request.folder.empty() && chdir(request.folder.c_str()) != 0)
    _exit(127);
  std::vector<char*> argv{const_cast<char*>(request.program.c_str())};
  for (const std::string& argument : request.arguments)
    argv.push_back(const_cast<char*>(argument.c_str()));
  argv.push_back(nullptr);
  execv(request.program.c_str(), argv.data());
  _exit(127);
}

/// Appends what can be read now; false at the end of the stream.
bool take(int from, std::string& to) {
  std::array<char, 65536> block;
  const ssize_t count = read(from, block.data(), block.size());
  if (count > 0)
    to.append(block.data(), static_cast<std::size_t>(count));
  return count > 0 || (count < 0 && errno == EINTR);
}

} // namespace

Outcome run_command(const Request& request) {
  Pipe in, err;
  int out_read = -1, out_write = -1;
  if (request.on_terminal) {
    std::string name;
    out_read = open_terminal(name);
    out_write = open(name.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    winsize size{};
    size.ws_col = request.columns;
    if (request.columns > 0 && ioctl(out_write, TIOCSWINSZ, &size) != 0)
      fail("ioctl");
  } else if (!request.out_to.empty()) {
    out_write = open(request.out_to.c_str(), O_WRONLY | O_CLOEXEC);
  } else {
    const Pipe out;
    out_read = out.read_end;
    out_write = out.write_end;
  }
  if (out_write < 0)
    fail("open");

  const pid_t child = fork();
  if (child < 0)
    fail("fork");
  if (child == 0)
    become(request, in.read_end, out_write, request.on_terminal ? out_write : err.write_end);
  close(in.read_end);
  close(err.write_end);
  close(out_write);
  // Cases are far smaller than a pipe holds.
  if (write(in.write_end, request.input.data(), request.input.size()) < 0 && errno != EPIPE)
    fail("write");
  close(in.write_end);

  Outcome outcome;
  bool signalled = request.signal == 0;
  const auto give_up = std::chrono::steady_clock::now() + std::chrono::minutes(2);
  std::array<pollfd, 2> ends{{{out_read, POLLIN, 0}, {err.read_end, POLLIN, 0}}};
  while (ends[0].fd >= 0 || ends[1].fd >= 0) {
    if (std::chrono::steady_clock::now() > give_up) {
      kill(child, SIGKILL);
      waitpid(child, nullptr, 0);
      throw std::runtime_error(request.program + " did not end within two minutes");
    }
    if (poll(ends.data(), ends.size(), 1000) <= 0)
      continue;
    for (std::size_t k = 0; k < ends.size(); ++k) {
      if ((ends[k].revents & (POLLIN | POLLHUP | POLLERR)) == 0)
        continue;
      if (!take(ends[k].fd, k == 0 ? outcome.out : outcome.err)) {
        close(ends[k].fd);
        ends[k].fd = -1;
      }
    }
    if (!signalled && !outcome.err.empty()) {
      kill(child, request.signal);
      signalled = true;
    }
  }
  int status = 0;
  if (waitpid(child, &status, 0) != child)
    fail("waitpid");
  outcome.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  return outcome;
}

Outcome thinquench(std::vector<std::string> arguments, std::map<std::string, std::string> environment,
                   const std::filesystem::path& folder) {
  Request request;
  request.program = TQ_PROGRAM;
  request.arguments = std::move(arguments);
  request.environment = std::move(environment);
  request.folder = folder;
  return run_command(request);
}

std::ptrdiff_t line_count(const std::string& text) { return std::count(text.begin(), text.end(), '\n'); }

void expect_refused(const Outcome& outcome, const std::string& part, std::ptrdiff_t lines) {
  EXPECT_EQ(outcome.exit_code, 2) << part << "\n" << outcome.out;
  EXPECT_EQ(outcome.out, "") << part;
  EXPECT_EQ(line_count(outcome.err), lines) << outcome.err;
  EXPECT_EQ(outcome.err.rfind("thinquench: ", 0), 0U) << outcome.err;
  EXPECT_NE(outcome.err.find(part), std::string::npos) << part << "\n" << outcome.err;
}

std::string read_file(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in)
    throw std::runtime_error("cannot read " + file.string());
  return {std::istreambuf_iterator<char>(in), {}};
}

void write_file(const std::filesystem::path& file, const std::string& text) {
  std::ofstream out(file, std::ios::binary);
  out << text;
  if (!out.flush())
    throw std::runtime_error("cannot write " + file.string());
}

} // namespace tq::test
