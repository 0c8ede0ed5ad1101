// Modbus RTU: asks devices on one line for their registers (functions 3 and 4).
#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/hold_off.hpp"
#include "drivers/protocol/modbus_frame.hpp"
#include "drivers/protocol/protocol.hpp"

namespace nestcup::drivers {

/// After MODBUS Application Protocol V1.1b3 and MODBUS over Serial Line V1.02. Registers that lie
/// side by side in one device are asked for in one question, so that their readings share a stamp.
///
/// An answer is a frame of the device, function and length asked for whose checksum holds. It is
/// looked for behind every byte, so that rubbish before it, the echo of the question (as some
/// RS-485 adapters send it) or another device's frame do not hide it. The silences that divide
/// frames on the wire are not seen behind a USB adapter, which hands bytes on in lumps: they are
/// kept before questions (3.5 characters, at least 1.75 ms), not looked for in answers. All that
/// came beside the answer is told as faults when the exchange is over.
///
/// An answer does not say which question it answers: after a question without an answer the device
/// is left alone for as long again (HoldOff), and what it sends then is late.
class ModbusProtocol final : public Protocol {
 public:
  /// @errors bad_configuration: a channel without registers, or beyond the last register
  [[nodiscard]] static Result<std::unique_ptr<Protocol>> make(
      const PortSettings& port, const std::vector<ChannelSettings>& channels);

  void feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) override;
  void reset(ProtocolSink& sink) override;
  [[nodiscard]] bool is_polled() const override { return true; }
  [[nodiscard]] ExchangeManners manners() const override { return manners_; }
  [[nodiscard]] std::string next_request(TimeUs now_us) override;
  [[nodiscard]] bool is_answered() const override { return !asked_; }
  [[nodiscard]] bool is_begun() const override;
  void give_up(TimeUs now_us, ProtocolSink& sink) override;

 private:
  struct Wanted {
    std::size_t channel = 0;
    RegisterPlace place;
  };
  struct Question {
    RegisterPlace place;  ///< device, function and first register
    int count = 0;
    std::vector<Wanted> wanted{};
    std::string last_refusal{};  ///< told once a change
  };

  ModbusProtocol(const PortSettings& port, std::vector<Question> questions);
  [[nodiscard]] static std::vector<Question> questions_for(
      const std::vector<ChannelSettings>& channels);
  bool take_answer(TimeUs stamp_us, ProtocolSink& sink);
  void take_registers(std::span<const Byte> data, TimeUs stamp_us, ProtocolSink& sink);
  void take_exception(int code, ProtocolSink& sink);
  void tell_rest(std::span<const Byte> rest, TimeUs stamp_us, ProtocolSink& sink) const;
  [[nodiscard]] std::size_t answer_size() const;
  [[nodiscard]] bool begins_answer(std::span<const Byte> bytes) const;
  [[nodiscard]] std::span<const Byte> without_echo(std::span<const Byte> bytes) const;

  ExchangeManners manners_;
  std::vector<Question> questions_;
  std::map<int, HoldOff> hold_off_;  // by device
  std::size_t next_ = 0;             // in the round under way
  std::optional<std::size_t> asked_;
  std::string request_;
  std::vector<Byte> heard_;  // since the question
  bool stray_told_ = false;  // bytes that nobody asked for, since the last question
};

}  // namespace nestcup::drivers
