// Who is at the other end of a Unix socket, and whether they may come in.
#pragma once

#include <sys/types.h>

#include <vector>

#include "core/base/result.hpp"
#include "daemon/control/message.hpp"

namespace nestcup::daemon {

/// The credentials that the kernel took when the peer connected (unix(7), SO_PEERCRED).
struct PeerCredentials {
  Peer peer;
  std::vector<gid_t> groups;  ///< primary and supplementary
};

/// Asks the kernel about the peer of a connected Unix socket.
/// @errors io: the kernel does not say
[[nodiscard]] Result<PeerCredentials> peer_credentials(int socket);

/// Root, the daemon's own user and members of the socket's group may use the socket.
[[nodiscard]] bool may_use(const PeerCredentials& peer, uid_t own_uid, gid_t socket_group);

}  // namespace nestcup::daemon
