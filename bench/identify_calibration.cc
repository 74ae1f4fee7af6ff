// Identifies invented cars of known truth and writes what came of it: a table to standard output
// and, as FILE.svg and FILE.csv, how often right against how sure. docs/methods/identify.md shows
// it. Takes half a minute; the same with every run.
//   build/bench/bench/identify_calibration docs/methods/identify_calibration
#include <fmt/format.h>

#include <cstdio>
#include <fstream>

#include "fixtures/calibration.h"

namespace steerbench::riddles {
namespace {

constexpr int kCars = 20'000, kRaceCars = 3'000;

struct Line {
  double slack;
  const char* style;
  const char* label;
  Reliability cars;
};

// Stated probability to the right, share that was right upwards; bars of two standard deviations.
std::string Svg(const std::vector<Line>& lines) {
  constexpr double kSide = 360.0, kMargin = 56.0;
  const auto x = [](double p) { return kMargin + kSide * p; };
  const auto y = [](double p) { return kMargin + kSide * (1.0 - p) - 36.0; };
  std::string out = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {0}\" "
      "font-family=\"sans-serif\" "
      "font-size=\"13\" role=\"img\" aria-label=\"How often right against how sure\">\n"
      "<rect width=\"{0}\" height=\"{0}\" fill=\"#fcfaf5\"/>\n<g stroke=\"#8d9399\" "
      "fill=\"none\">\n",
      kSide + 2.0 * kMargin - 16.0);
  for (int i = 0; i <= 10; i += 2) {
    const double p = 0.1 * i;
    out += fmt::format(
        "<path d=\"M{:.1f} {:.1f}V{:.1f}M{:.1f} {:.1f}H{:.1f}\" stroke-width=\".4\"/>\n", x(p),
        y(0.0), y(1.0), x(0.0), y(p), x(1.0));
  }
  out += fmt::format("<path d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}\" stroke-dasharray=\"4 4\"/>\n</g>\n",
                     x(0.0), y(0.0), x(1.0), y(1.0));
  double row = y(0.94);
  for (const Line& line : lines) {
    std::string path;
    for (const Reliability::Bin& bin : line.cars.bins) {
      if (bin.count == 0) continue;
      const double at = x(bin.Stated());
      path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", at, y(bin.Right()));
      out +=
          fmt::format("<path d=\"M{0:.1f} {1:.1f}V{2:.1f}\" stroke=\"#1c2730\"/>\n", at,
                      y(bin.Right() - 2.0 * bin.Scatter()), y(bin.Right() + 2.0 * bin.Scatter()));
    }
    out += fmt::format("<path d=\"{}\" fill=\"none\" stroke-width=\"2\" {}/>\n", path, line.style);
    out += fmt::format(
        "<path d=\"M{0:.1f} {1:.1f}h26\" stroke-width=\"2\" {2}/>\n"
        "<text x=\"{3:.1f}\" y=\"{4:.1f}\" fill=\"#1c2730\">{5}</text>\n",
        x(0.03), row, line.style, x(0.03) + 32.0, row + 4.0, line.label);
    row += 20.0;
  }
  for (int i = 0; i <= 10; i += 2) {
    out += fmt::format(
        "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{} %</text>\n"
        "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{} %</text>\n",
        x(0.1 * i), y(0.0) + 18.0, 10 * i, x(0.0) - 6.0, y(0.1 * i) + 4.0, 10 * i);
  }
  out += fmt::format(
      "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">stated</text>\n"
      "<text x=\"{:.1f}\" y=\"{:.1f}\">was so</text>\n</svg>\n",
      x(0.5), y(0.0) + 38.0, 8.0, y(1.0) - 10.0);
  return out;
}

void Run(const std::string& file) {
  std::vector<Line> lines{
      {1.0, "stroke=\"#0b5d66\"", "looks wrong as often as stated", {}},
      {2.0, "stroke=\"#99330f\" stroke-dasharray=\"7 3\"", "twice as often", {}}};
  std::ofstream csv(file + ".csv");
  csv << "wrong_against_stated,cars,stated,right,scatter\n";
  for (Line& line : lines) {
    line.cars = MeasureReliability(2026, kCars, line.slack);
    fmt::print("wrong {} times as often as stated\n", line.slack);
    for (const Reliability::Bin& bin : line.cars.bins) {
      if (bin.count == 0) continue;
      csv << fmt::format("{},{},{:.4f},{:.4f},{:.4f}\n", line.slack, bin.count, bin.Stated(),
                         bin.Right(), bin.Scatter());
      fmt::print("  {:6d} cars  stated {:5.1f} %  was so {:5.1f} +- {:.1f} %\n", bin.count,
                 100.0 * bin.Stated(), 100.0 * bin.Right(), 200.0 * bin.Scatter());
    }
  }
  std::ofstream(file + ".svg") << Svg(lines);
  const Race race = MeasureRace(2026, kRaceCars, identify::kUsuallySure);
  for (const auto& [name, e] :
       {std::pair("chosen", race.chosen), std::pair("random", race.random)}) {
    fmt::print("{}: {:.2f} looks, {:.1f} min; settled {:.1f} %, of these right {:.1f} %\n", name,
               e.looks, e.minutes, 100.0 * e.settled, 100.0 * e.right / e.settled);
  }
}

}  // namespace
}  // namespace steerbench::riddles

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: identify_calibration FILE\n");
    return 2;
  }
  steerbench::riddles::Run(argv[1]);
  return 0;
}
