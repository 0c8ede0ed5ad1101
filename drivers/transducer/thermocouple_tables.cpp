// Coefficients of the ITS-90 reference functions, emf in uV for t in degC, lowest power first.
// Source: G. W. Burns, M. G. Scroger, G. F. Strouse, M. C. Croarkin, W. F. Guthrie,
// "Temperature-Electromotive Force Reference Functions and Tables for the Letter-Designated
// Thermocouple Types Based on the ITS-90", NIST Monograph 175 (1993); the same functions are those
// of IEC 60584-1 (2013).
#include "drivers/transducer/thermocouple_tables.hpp"

#include <array>

namespace nestcup::drivers {

namespace {

constexpr std::array<double, 7> b_1{0.0,
                                    -0.24650818346,
                                    0.0059040421171,
                                    -1.3257931636e-06,
                                    1.5668291901e-09,
                                    -1.694452924e-12,
                                    6.2990347094e-16};
constexpr std::array<double, 9> b_2{-3893.8168621,     28.57174747,       -0.084885104785,
                                    0.00015785280164,  -1.6835344864e-07, 1.1109794013e-10,
                                    -4.4515431033e-14, 9.8975640821e-18,  -9.3791330289e-22};
constexpr std::array<double, 14> e_1{0.0,
                                     58.665508708,
                                     0.045410977124,
                                     -0.00077998048686,
                                     -2.5800160843e-05,
                                     -5.9452583057e-07,
                                     -9.3214058667e-09,
                                     -1.0287605534e-10,
                                     -8.0370123621e-13,
                                     -4.3979497391e-15,
                                     -1.6414776355e-17,
                                     -3.9673619516e-20,
                                     -5.5827328721e-23,
                                     -3.4657842013e-26};
constexpr std::array<double, 11> e_2{0.0,
                                     58.66550871,
                                     0.045032275582,
                                     2.8908407212e-05,
                                     -3.3056896652e-07,
                                     6.502440327e-10,
                                     -1.9197495504e-13,
                                     -1.2536600497e-15,
                                     2.1489217569e-18,
                                     -1.4388041782e-21,
                                     3.5960899481e-25};
constexpr std::array<double, 9> j_1{0.0,
                                    50.381187815,
                                    0.03047583693,
                                    -8.568106572e-05,
                                    1.3228195295e-07,
                                    -1.7052958337e-10,
                                    2.0948090697e-13,
                                    -1.2538395336e-16,
                                    1.5631725697e-20};
constexpr std::array<double, 6> j_2{296456.25681,     -1497.6127786,    3.1787103924,
                                    -0.0031847686701, 1.5720819004e-06, -3.0691369056e-10};
constexpr std::array<double, 11> k_1{0.0,
                                     39.450128025,
                                     0.023622373598,
                                     -0.00032858906784,
                                     -4.9904828777e-06,
                                     -6.7509059173e-08,
                                     -5.7410327428e-10,
                                     -3.1088872894e-12,
                                     -1.0451609365e-14,
                                     -1.9889266878e-17,
                                     -1.6322697486e-20};
constexpr std::array<double, 10> k_2{
    -17.600413686,     38.921204975,     0.018558770032,    -9.9457592874e-05, 3.1840945719e-07,
    -5.6072844889e-10, 5.6075059059e-13, -3.2020720003e-16, 9.7151147152e-20,  -1.2104721275e-23};
constexpr std::array<double, 9> n_1{0.0,
                                    26.159105962,
                                    0.010957484228,
                                    -9.3841111554e-05,
                                    -4.6412039759e-08,
                                    -2.6303357716e-09,
                                    -2.2653438003e-11,
                                    -7.6089300791e-14,
                                    -9.3419667835e-17};
constexpr std::array<double, 11> n_2{0.0,
                                     25.929394601,
                                     0.01571014188,
                                     4.3825627237e-05,
                                     -2.5261169794e-07,
                                     6.4311819339e-10,
                                     -1.0063471519e-12,
                                     9.9745338992e-16,
                                     -6.0863245607e-19,
                                     2.0849229338e-22,
                                     -3.0682196152e-26};
constexpr std::array<double, 10> r_1{0.0,
                                     5.28961729765,
                                     0.0139166589782,
                                     -2.38855693017e-05,
                                     3.56916001063e-08,
                                     -4.62347666298e-11,
                                     5.00777441034e-14,
                                     -3.73105886191e-17,
                                     1.57716482367e-20,
                                     -2.81038625251e-24};
constexpr std::array<double, 6> r_2{2951.57925316,      -2.52061251332,    0.0159564501865,
                                    -7.64085947576e-06, 2.05305291024e-09, -2.93359668173e-13};
constexpr std::array<double, 5> r_3{152232.118209, -268.819888545, 0.171280280471,
                                    -3.45895706453e-05, -9.34633971046e-12};
constexpr std::array<double, 9> s_1{0.0,
                                    5.40313308631,
                                    0.012593428974,
                                    -2.32477968689e-05,
                                    3.22028823036e-08,
                                    -3.31465196389e-11,
                                    2.55744251786e-14,
                                    -1.25068871393e-17,
                                    2.71443176145e-21};
constexpr std::array<double, 5> s_2{1329.00444085, 3.34509311344, 0.00654805192818,
                                    -1.64856259209e-06, 1.29989605174e-11};
constexpr std::array<double, 5> s_3{146628.232636, -258.430516752, 0.163693574641,
                                    -3.30439046987e-05, -9.43223690612e-12};
constexpr std::array<double, 15> t_1{0.0,
                                     38.748106364,
                                     0.044194434347,
                                     0.00011844323105,
                                     2.0032973554e-05,
                                     9.0138019559e-07,
                                     2.2651156593e-08,
                                     3.6071154205e-10,
                                     3.8493939883e-12,
                                     2.8213521925e-14,
                                     1.4251594779e-16,
                                     4.8768662286e-19,
                                     1.079553927e-21,
                                     1.3945027062e-24,
                                     7.9795153927e-28};
constexpr std::array<double, 9> t_2{0.0,
                                    38.748106364,
                                    0.03329222788,
                                    0.00020618243404,
                                    -2.1882256846e-06,
                                    1.0996880928e-08,
                                    -3.0815758772e-11,
                                    4.547913529e-14,
                                    -2.7512901673e-17};

constexpr std::array<EmfPiece, 2> b_pieces{{{0.0, 630.615, b_1}, {630.615, 1820.0, b_2}}};
constexpr std::array<EmfPiece, 2> e_pieces{{{-270.0, 0.0, e_1}, {0.0, 1000.0, e_2}}};
constexpr std::array<EmfPiece, 2> j_pieces{{{-210.0, 760.0, j_1}, {760.0, 1200.0, j_2}}};
constexpr std::array<EmfPiece, 2> k_pieces{{{-270.0, 0.0, k_1}, {0.0, 1372.0, k_2, true}}};
constexpr std::array<EmfPiece, 2> n_pieces{{{-270.0, 0.0, n_1}, {0.0, 1300.0, n_2}}};
constexpr std::array<EmfPiece, 3> r_pieces{
    {{-50.0, 1064.18, r_1}, {1064.18, 1664.5, r_2}, {1664.5, 1768.1, r_3}}};
constexpr std::array<EmfPiece, 3> s_pieces{
    {{-50.0, 1064.18, s_1}, {1064.18, 1664.5, s_2}, {1664.5, 1768.1, s_3}}};
constexpr std::array<EmfPiece, 2> t_pieces{{{-270.0, 0.0, t_1}, {0.0, 400.0, t_2}}};

}  // namespace

std::span<const EmfPiece> emf_pieces(ThermocoupleType type) {
  switch (type) {
    case ThermocoupleType::B:
      return b_pieces;
    case ThermocoupleType::E:
      return e_pieces;
    case ThermocoupleType::J:
      return j_pieces;
    case ThermocoupleType::K:
      return k_pieces;
    case ThermocoupleType::N:
      return n_pieces;
    case ThermocoupleType::R:
      return r_pieces;
    case ThermocoupleType::S:
      return s_pieces;
    case ThermocoupleType::T:
      return t_pieces;
  }
  return {};
}

}  // namespace nestcup::drivers
