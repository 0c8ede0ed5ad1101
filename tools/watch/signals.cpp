#include "tools/watch/signals.hpp"

#include <poll.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <array>

namespace nestcup::watch {
namespace {

sigset_t awaited() {
  sigset_t set;
  sigemptyset(&set);
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGTSTP, SIGWINCH}) sigaddset(&set, signal);
  return set;
}

}  // namespace

bool asks_to_end(int signal) {
  return signal == SIGINT || signal == SIGTERM || signal == SIGHUP;
}

Signals::Signals() {
  const sigset_t set = awaited();
  pthread_sigmask(SIG_BLOCK, &set, &before_);
  descriptor_ = signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK);
}

Signals::~Signals() {
  if (descriptor_ >= 0) close(descriptor_);
  pthread_sigmask(SIG_SETMASK, &before_, nullptr);
}

Happened Signals::wait(int input, std::chrono::milliseconds longest) const {
  std::array<pollfd, 2> waiting{{{descriptor_, POLLIN, 0}, {input, POLLIN, 0}}};
  Happened happened;
  if (poll(waiting.data(), waiting.size(), static_cast<int>(longest.count())) <= 0) return happened;
  signalfd_siginfo told{};
  if (waiting[0].revents != 0 && read(descriptor_, &told, sizeof told) == sizeof told) {
    happened.signal = static_cast<int>(told.ssi_signo);
  }
  if (waiting[1].revents != 0) {
    char key = 0;
    const ssize_t bytes = read(input, &key, 1);
    if (bytes == 1) happened.key = key;
    happened.input_ended = bytes <= 0;
  }
  return happened;
}

}  // namespace nestcup::watch
