#include "tools/page_address.hpp"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

#include <array>
#include <memory>

namespace nestcup {
namespace {

/// Such as 192.0.2.7; empty where it is none of IPv4, which every browser in reach has, too.
std::string ipv4_text(const sockaddr* address) {
  if (address == nullptr || address->sa_family != AF_INET) return {};
  std::array<char, INET_ADDRSTRLEN> text{};
  const auto* const internet = reinterpret_cast<const sockaddr_in*>(address);
  const char* const written = inet_ntop(AF_INET, &internet->sin_addr, text.data(), text.size());
  return written == nullptr ? std::string() : std::string(written);
}

std::vector<std::string> own_addresses() {
  ifaddrs* first = nullptr;
  if (getifaddrs(&first) != 0) return {};
  const std::unique_ptr<ifaddrs, void (*)(ifaddrs*)> all(first, freeifaddrs);
  std::vector<std::string> found;
  for (const ifaddrs* one = first; one != nullptr; one = one->ifa_next) {
    const bool is_linked = (one->ifa_flags & IFF_UP) != 0 && (one->ifa_flags & IFF_RUNNING) != 0;
    if (!is_linked || (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
    if (auto text = ipv4_text(one->ifa_addr); !text.empty()) found.push_back(std::move(text));
  }
  return found;
}

bool is_every_address(const std::string& host) {
  return host == "0.0.0.0" || host == "[::]";
}

}  // namespace

std::vector<std::string> page_addresses(const BenchFile& bench) {
  if (bench.listen.empty()) return {};
  if (!bench.page.names.empty()) return {"https://" + bench.page.names.front()};
  const std::size_t colon = bench.listen.rfind(':');
  if (!is_every_address(bench.listen.substr(0, colon))) return {"http://" + bench.listen};
  std::vector<std::string> hosts = own_addresses();
  if (hosts.empty()) hosts.emplace_back("127.0.0.1");
  for (std::string& host : hosts) host = "http://" + host + bench.listen.substr(colon);
  return hosts;
}

}  // namespace nestcup
