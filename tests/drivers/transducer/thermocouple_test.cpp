// Thermocouples against the tables of NIST Monograph 175 (1993), which are those of IEC 60584-1.
#include "drivers/transducer/thermocouple.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "drivers/transducer/thermocouple_tables.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using Type = ThermocoupleType;

namespace {

constexpr std::array<Type, 8> all_types{Type::B, Type::E, Type::J, Type::K,
                                        Type::N, Type::R, Type::S, Type::T};

std::string letter(Type type) {
  return std::string(1, thermocouple_letter(type));
}

struct PrintedRow {
  Type type;
  double degC;
  double printed_uV;
};
const std::vector<PrintedRow> printed_rows{
    // Printed in NIST Monograph 175 / IEC 60584-1.
    {Type::K, 25, 1000},
    {Type::T, 25, 992},
    {Type::J, 25, 1277},
    {Type::E, 25, 1495},
    {Type::N, 25, 659},
    {Type::S, 1000, 9587},
    {Type::R, 1000, 10506},
    {Type::B, 1000, 4834},
    // The limits between which Monograph 175 gives its inverse polynomials.
    {Type::K, -200, -5891},
    {Type::K, 500, 20644},
    {Type::K, 1372, 54886},
    {Type::T, -200, -5603},
    {Type::T, 400, 20872},
    {Type::J, -210, -8095},
    {Type::J, 760, 42919},
    {Type::J, 1200, 69553},
    {Type::E, -200, -8825},
    {Type::E, 1000, 76373},
    {Type::N, -200, -3990},
    {Type::N, 600, 20613},
    {Type::N, 1300, 47513},
    // Further values of the same tables, from memory.
    {Type::K, -270, -6458},
    {Type::K, 200, 8138},
    {Type::K, 300, 12209},
    {Type::K, 800, 33275},
    {Type::K, 1000, 41276},
    {Type::K, 1200, 48838},
    {Type::T, -270, -6258},
    {Type::T, 200, 9288},
    {Type::T, 300, 14862},
    {Type::J, -200, -7890},
    {Type::J, 200, 10779},
    {Type::J, 500, 27393},
    {Type::J, 1000, 57953},
    {Type::E, -270, -9835},
    {Type::E, 200, 13421},
    {Type::E, 500, 37005},
    {Type::N, -270, -4345},
    {Type::N, 200, 5913},
    {Type::N, 500, 16748},
    {Type::N, 1000, 36256},
    {Type::S, -50, -236},
    {Type::S, 100, 646},
    {Type::S, 500, 4233},
    {Type::S, 1500, 15582},
    {Type::S, 1768, 18693},
    {Type::R, -50, -226},
    {Type::R, 100, 647},
    {Type::R, 500, 4471},
    {Type::R, 1500, 17451},
    {Type::R, 1768, 21101},
    {Type::B, 100, 33},
    {Type::B, 500, 1242},
    {Type::B, 1500, 10099},
    {Type::B, 1820, 13820},
};

}  // namespace

TEST_CASE("emf near room temperature has all published digits") {
  // Evaluated from the published coefficients (NIST Monograph 175), to 1 nV.
  struct Row {
    double degC;
    double k, t, j, e, n;
  };
  const std::array<Row, 9> rows{{
      {-20, -777.540, -756.838, -994.726, -1151.615, -518.049},
      {0, 0, 0, 0, 0, 0},
      {10, 396.862, 390.996, 506.775, 591.184, 260.906},
      {20, 798.120, 789.612, 1019.149, 1191.504, 525.184},
      {25, 1000.242, 991.977, 1277.288, 1495.112, 658.646},
      {30, 1203.275, 1196.446, 1536.654, 1801.023, 793.015},
      {50, 2023.078, 2035.722, 2585.315, 3047.603, 1339.830},
      {70, 2851.249, 2908.896, 3649.539, 4330.284, 1901.975},
      {100, 4096.230, 4278.519, 5268.916, 6318.930, 2774.124},
  }};
  for (const Row& row : rows) {
    INFO(row.degC);
    CHECK_THAT(thermocouple_emf_uV(Type::K, row.degC), WithinAbs(row.k, 5.001e-4));
    CHECK_THAT(thermocouple_emf_uV(Type::T, row.degC), WithinAbs(row.t, 5.001e-4));
    CHECK_THAT(thermocouple_emf_uV(Type::J, row.degC), WithinAbs(row.j, 5.001e-4));
    CHECK_THAT(thermocouple_emf_uV(Type::E, row.degC), WithinAbs(row.e, 5.001e-4));
    CHECK_THAT(thermocouple_emf_uV(Type::N, row.degC), WithinAbs(row.n, 5.001e-4));
  }
}

TEST_CASE("emf over each type's range is that of the printed tables to the last digit, 1 uV") {
  for (const PrintedRow& row : printed_rows) {
    INFO(letter(row.type) << " at " << row.degC << " degC");
    CHECK(std::round(thermocouple_emf_uV(row.type, row.degC)) == row.printed_uV);
  }
}

TEST_CASE("each type has its own range, and nothing outside of it is a number") {
  struct Row {
    Type type;
    double lowest_degC, highest_degC;
  };
  const std::array<Row, 8> rows{{{Type::B, 0, 1820},
                                 {Type::E, -270, 1000},
                                 {Type::J, -210, 1200},
                                 {Type::K, -270, 1372},
                                 {Type::N, -270, 1300},
                                 {Type::R, -50, 1768.1},
                                 {Type::S, -50, 1768.1},
                                 {Type::T, -270, 400}}};
  for (const Row& row : rows) {
    INFO(letter(row.type));
    CHECK(thermocouple_range(row.type).lowest_degC == row.lowest_degC);
    CHECK(thermocouple_range(row.type).highest_degC == row.highest_degC);
    CHECK(std::isfinite(thermocouple_emf_uV(row.type, row.lowest_degC)));
    CHECK(std::isfinite(thermocouple_emf_uV(row.type, row.highest_degC)));
    CHECK(std::isnan(thermocouple_emf_uV(row.type, row.lowest_degC - 1e-9)));
    CHECK(std::isnan(thermocouple_emf_uV(row.type, row.highest_degC + 1e-9)));
    CHECK(std::isnan(thermocouple_emf_uV(row.type, std::nan(""))));
    const DegCRange measured = thermocouple_measuring_range(row.type);
    const double lowest_uV = thermocouple_emf_uV(row.type, measured.lowest_degC);
    const double highest_uV = thermocouple_emf_uV(row.type, measured.highest_degC);
    CHECK(thermocouple_degC(row.type, lowest_uV).has_value());
    CHECK(thermocouple_degC(row.type, highest_uV).has_value());
    CHECK_FALSE(thermocouple_degC(row.type, lowest_uV - 1e-6).has_value());
    CHECK_FALSE(thermocouple_degC(row.type, highest_uV + 1e-6).has_value());
    CHECK_FALSE(thermocouple_degC(row.type, std::nan("")).has_value());
    CHECK_FALSE(thermocouple_degC(row.type, HUGE_VAL).has_value());
  }
}

TEST_CASE("temperature to emf and back keeps 1 uK over the full range of all types") {
  for (const Type type : all_types) {
    const DegCRange range = thermocouple_measuring_range(type);
    double worst_K = 0.0;
    double worst_at_step_K = 0.0;
    constexpr int steps = 100'000;
    for (int i = 0; i <= steps; ++i) {
      const double degC =
          i == steps ? range.highest_degC
                     : range.lowest_degC + (range.highest_degC - range.lowest_degC) * i / steps;
      const auto back = thermocouple_degC(type, thermocouple_emf_uV(type, degC));
      REQUIRE(back.has_value());
      const bool at_step = type == Type::J && std::fabs(degC - 760.0) < 1e-5;
      double& worst = at_step ? worst_at_step_K : worst_K;
      worst = std::max(worst, std::fabs(*back - degC));
    }
    INFO(letter(type));
    CHECK(worst_K < 1e-6);
    CHECK(worst_at_step_K < 1e-5);
  }
}

TEST_CASE("temperature to emf and back at the joints of the pieces") {
  for (const Type type : all_types) {
    for (const EmfPiece& piece : emf_pieces(type)) {
      for (const double off_K : {-1e-3, -1e-7, -1e-9, 0.0, 1e-9, 1e-7, 1e-3}) {
        const double degC = piece.lowest_degC + off_K;
        if (!thermocouple_measuring_range(type).holds(degC)) continue;
        INFO(letter(type) << " at " << piece.lowest_degC << " degC and " << off_K << " K");
        const auto back = thermocouple_degC(type, thermocouple_emf_uV(type, degC));
        REQUIRE(back.has_value());
        const bool steps = type == Type::J && piece.lowest_degC == 760.0;
        CHECK_THAT(*back, WithinAbs(degC, steps ? 1e-5 : 1e-6));
      }
    }
  }
}

TEST_CASE("emf rises with temperature, by the slope that is told") {
  for (const Type type : all_types) {
    const DegCRange range = thermocouple_measuring_range(type);
    double before_uV = -HUGE_VAL;
    int falls = 0;
    for (double degC = range.lowest_degC + 0.01; degC < range.highest_degC - 0.01; degC += 0.37) {
      const double emf_uV = thermocouple_emf_uV(type, degC);
      falls += emf_uV > before_uV ? 0 : 1;
      before_uV = emf_uV;
      const double difference =
          (thermocouple_emf_uV(type, degC + 0.005) - thermocouple_emf_uV(type, degC - 0.005)) /
          0.01;
      const double slope = thermocouple_slope_uV_per_K(type, degC);
      if (std::fabs(slope - difference) > 1e-3) FAIL(letter(type) << " slope at " << degC);
    }
    INFO(letter(type));
    CHECK(falls == 0);
  }
}

TEST_CASE("the cold junction is compensated in emf") {
  // Two worked checks for type K as published with the tables' polynomials: 42 degC gives
  // 1.6938477 mV; 1.1 mV with the reference junction at 23 degC is 49.90793 degC.
  CHECK_THAT(thermocouple_emf_uV(Type::K, 42.0), WithinAbs(1693.8477, 5.001e-5));
  CHECK_THAT(thermocouple_degC(Type::K, 1100.0, 23.0).value(), WithinAbs(49.90793, 5.001e-6));

  // No emf: the measuring junction is as warm as the cold one, whatever the type.
  for (const Type type : all_types) {
    if (type == Type::B) continue;
    CHECK_THAT(thermocouple_degC(type, 0.0, 23.4).value(), WithinAbs(23.4, 1e-6));
  }
  // The cold junction of a type B hardly matters: 3 uV from 0 to 50 degC.
  CHECK_THAT(thermocouple_emf_uV(Type::B, 0.0), WithinAbs(thermocouple_emf_uV(Type::B, 42.0), 0.2));
  CHECK_FALSE(thermocouple_degC(Type::K, 1100.0, -300.0).has_value());
  CHECK_FALSE(thermocouple_degC(Type::K, 1100.0, std::nan("")).has_value());
}

TEST_CASE("type B tells one temperature from 50 degC up, and has its minimum at 21 degC") {
  CHECK(thermocouple_measuring_range(Type::B).lowest_degC == 50.0);
  CHECK(thermocouple_slope_uV_per_K(Type::B, 20.5) < 0.0);
  CHECK(thermocouple_slope_uV_per_K(Type::B, 21.5) > 0.0);
  CHECK_FALSE(thermocouple_degC(Type::B, 0.0).has_value());
}
