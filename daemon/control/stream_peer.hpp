// A connection that was taken over from its session, as the server sees it.
#pragma once

namespace nestcup::daemon {

class StreamPeer {
 public:
  StreamPeer() = default;
  StreamPeer(const StreamPeer&) = delete;
  StreamPeer& operator=(const StreamPeer&) = delete;
  virtual ~StreamPeer() = default;

  /// Ends the connection at once, whatever is outstanding.
  virtual void close() = 0;
};

}  // namespace nestcup::daemon
