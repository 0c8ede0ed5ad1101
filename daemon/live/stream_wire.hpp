// The byte stream under a WebSocket, whatever kind of socket it is. Beast knows by itself how to
// end a TCP connection only; the two functions here say it for the others, too.
#pragma once

#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/post.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/bind_handler.hpp>
#include <boost/beast/core/role.hpp>
#include <boost/beast/websocket/teardown.hpp>
#include <utility>

namespace nestcup::daemon {

class StreamWire : public boost::beast::basic_stream<boost::asio::generic::stream_protocol> {
 public:
  using boost::beast::basic_stream<boost::asio::generic::stream_protocol>::basic_stream;
};

inline void teardown(boost::beast::role_type /*role*/, StreamWire& wire,
                     boost::beast::error_code& code) {
  wire.socket().shutdown(boost::asio::socket_base::shutdown_both, code);
  wire.socket().close(code);
  code = {};
}

template <class Handler>
void async_teardown(boost::beast::role_type role, StreamWire& wire, Handler&& handler) {
  boost::beast::error_code code;
  teardown(role, wire, code);
  boost::asio::post(wire.get_executor(),
                    boost::beast::bind_front_handler(std::forward<Handler>(handler), code));
}

}  // namespace nestcup::daemon
