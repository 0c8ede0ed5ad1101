// One WebSocket (RFC 6455) on which somebody watches the bench. It only listens: whatever it says
// beyond the protocol's own ends the connection.
#pragma once

#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>
#include <boost/beast/websocket/stream.hpp>
#include <functional>
#include <memory>

#include "daemon/control/stream_peer.hpp"
#include "daemon/live/backlog.hpp"
#include "daemon/live/stream_wire.hpp"

namespace nestcup::daemon {

/// All on the io_context's thread; lives as long as something is outstanding on its connection.
class Watcher : public StreamPeer, public std::enable_shared_from_this<Watcher> {
 public:
  using Request = boost::beast::http::request<boost::beast::http::string_body>;
  /// The newest reading of every probe, as a message.
  using Newest = std::function<StreamText()>;
  using OnEnd = std::function<void(Watcher*)>;

  Watcher(StreamWire::socket_type socket, Newest newest, OnEnd on_end);

  /// Answers the request for a WebSocket; `ready` is called when it is one.
  void accept(const Request& request, std::function<void()> ready);

  void readings(StreamText text);
  void state(StreamText text);
  void event(StreamText text);

  /// Ends the connection with a word of farewell.
  void send_away(const char* reason);
  /// Ends the connection at once.
  void close() override;

 private:
  void listen();
  void write_next();
  void say_goodbye(boost::beast::websocket::close_code code, const char* reason);

  boost::beast::websocket::stream<StreamWire> socket_;
  Newest newest_;
  OnEnd on_end_;
  Backlog backlog_;
  boost::beast::flat_buffer heard_;
  StreamText writing_;    ///< until it is out
  bool ready_ = false;    ///< the handshake is done
  bool closing_ = false;  ///< goodbye was said
};

}  // namespace nestcup::daemon
