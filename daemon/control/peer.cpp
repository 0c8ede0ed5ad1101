#include "daemon/control/peer.hpp"

#include <fmt/format.h>
#include <pwd.h>
#include <sys/socket.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <string>

namespace nestcup::daemon {
namespace {

std::string login_of(uid_t uid) {
  std::array<char, 4096> buffer{};
  passwd entry{};
  passwd* found = nullptr;
  if (getpwuid_r(uid, &entry, buffer.data(), buffer.size(), &found) == 0 && found != nullptr) {
    return found->pw_name;
  }
  return fmt::format("uid {}", uid);
}

/// Supplementary groups of the process itself, not of the user database: that is what it may do.
std::vector<gid_t> supplementary_groups(int socket) {
  std::vector<gid_t> groups(64);
  for (int attempt = 0; attempt < 2; ++attempt) {
    socklen_t bytes = static_cast<socklen_t>(groups.size() * sizeof(gid_t));
    const int failed = getsockopt(socket, SOL_SOCKET, SO_PEERGROUPS, groups.data(), &bytes);
    if (failed != 0 && errno != ERANGE) return {};
    groups.resize(bytes / sizeof(gid_t));
    if (failed == 0) return groups;
  }
  return {};
}

}  // namespace

Result<PeerCredentials> peer_credentials(int socket) {
  ucred kernel{};
  socklen_t bytes = sizeof(kernel);
  if (getsockopt(socket, SOL_SOCKET, SO_PEERCRED, &kernel, &bytes) != 0) {
    return Error{Fault::io, fmt::format("the caller is unknown: {}", std::strerror(errno))};
  }
  PeerCredentials credentials;
  credentials.peer = {kernel.uid, kernel.pid, login_of(kernel.uid)};
  credentials.groups = supplementary_groups(socket);
  credentials.groups.push_back(kernel.gid);
  return credentials;
}

bool may_use(const PeerCredentials& peer, uid_t own_uid, gid_t socket_group) {
  return peer.peer.uid == 0 || peer.peer.uid == own_uid ||
         std::find(peer.groups.begin(), peer.groups.end(), socket_group) != peer.groups.end();
}

}  // namespace nestcup::daemon
