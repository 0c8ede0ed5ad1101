// only_read PORT...: waits for what the ports send, and throws it away. The least that a program
// costs which is woken by each line: what bench_load holds the others against. Standard error says
// "ready" when all ports are open.
#include <fcntl.h>
#include <sys/epoll.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <span>

int main(int argc, char** argv) {
  const int set = ::epoll_create1(EPOLL_CLOEXEC);
  const std::span<char*> words(argv, static_cast<std::size_t>(argc));
  for (const char* const name : words.subspan(1)) {
    epoll_event wanted{};
    wanted.events = EPOLLIN | EPOLLET;
    wanted.data.fd = ::open(name, O_RDWR | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (wanted.data.fd < 0 || ::epoll_ctl(set, EPOLL_CTL_ADD, wanted.data.fd, &wanted) != 0) {
      std::perror(name);
      return 1;
    }
  }
  std::fputs("ready\n", stderr);
  std::array<epoll_event, 64> events{};
  std::array<char, 4096> bytes{};
  while (true) {
    const int count = ::epoll_wait(set, events.data(), events.size(), -1);
    for (int i = 0; i < count; ++i) {
      if (::read(events[static_cast<std::size_t>(i)].data.fd, bytes.data(), bytes.size()) == 0) {
        return 0;
      }
    }
  }
}
