#include "metrics.h"

#include <sstream>

namespace wrackline {
namespace {

struct CounterRow {
  const char* name;
  const char* help;
};
constexpr CounterRow kCounterRows[] = {
    {"wrackline_connections_accepted_total", "Connections accepted."},
    {"wrackline_connections_turned_away_total", "Connections closed at once because a limit was reached."},
    {"wrackline_connections_gave_way_total", "Connections without a session, closed to make room for newcomers."},
    {"wrackline_handshakes_over_quota_total", "Connections closed before TLS began, since their address had opened too many."},
    {"wrackline_tls_handshakes_failed_total", "Connections that ended before TLS was agreed."},
    {"wrackline_requests_broken_total", "Requests that were no HTTP or did not come whole in time."},
    {"wrackline_enrolment_codes_wrong_total", "Wrong enrolment codes handed in."},
    {"wrackline_devices_admitted_total", "Devices enrolled since the start."},
    {"wrackline_sessions_opened_total", "Sessions opened since the start."},
    {"wrackline_rate_limited_total", "Requests over what a device or an address may ask for in a minute."},
};
static_assert(std::size(kCounterRows) == static_cast<std::size_t>(Metrics::Counter::kLast));

void head(std::ostream& out, const char* name, const char* help, const char* type) {
  out << "# HELP " << name << ' ' << help << "\n# TYPE " << name << ' ' << type << '\n';
}

}  // namespace

void Metrics::count(Counter counter) {
  const std::lock_guard<std::mutex> alone(counting_);
  ++counters_[static_cast<std::size_t>(counter)];
}

void Metrics::count_request(const std::string& path, unsigned status, double seconds, std::uint64_t bytes_in,
                            std::uint64_t bytes_out) {
  const std::lock_guard<std::mutex> alone(counting_);
  ++requests_[{path, status}];
  Durations& durations = durations_[path];
  for (std::size_t i = 0; i < kBuckets.size(); ++i) {
    if (seconds <= kBuckets[i]) ++durations.at_most[i];
  }
  ++durations.count;
  durations.sum_seconds += seconds;
  durations.bytes_in += bytes_in;
  durations.bytes_out += bytes_out;
}

std::string Metrics::text(const Now& now) const {
  const std::lock_guard<std::mutex> alone(counting_);
  std::ostringstream out;
  for (std::size_t i = 0; i < counters_.size(); ++i) {
    head(out, kCounterRows[i].name, kCounterRows[i].help, "counter");
    out << kCounterRows[i].name << ' ' << counters_[i] << '\n';
  }
  head(out, "wrackline_requests_total", "Requests answered.", "counter");
  for (const auto& [key, count] : requests_)
    out << "wrackline_requests_total{path=\"" << key.first << "\",status=\"" << key.second << "\"} " << count
        << '\n';
  head(out, "wrackline_request_seconds", "From the first byte of a request to the last of its answer.",
       "histogram");
  for (const auto& [path, durations] : durations_) {
    for (std::size_t i = 0; i < kBuckets.size(); ++i)
      out << "wrackline_request_seconds_bucket{path=\"" << path << "\",le=\"" << kBuckets[i] << "\"} "
          << durations.at_most[i] << '\n';
    out << "wrackline_request_seconds_bucket{path=\"" << path << "\",le=\"+Inf\"} " << durations.count << '\n'
        << "wrackline_request_seconds_sum{path=\"" << path << "\"} " << durations.sum_seconds << '\n'
        << "wrackline_request_seconds_count{path=\"" << path << "\"} " << durations.count << '\n';
  }
  head(out, "wrackline_received_bytes_total", "Bytes of request bodies.", "counter");
  for (const auto& [path, durations] : durations_)
    out << "wrackline_received_bytes_total{path=\"" << path << "\"} " << durations.bytes_in << '\n';
  head(out, "wrackline_sent_bytes_total", "Bytes of answer bodies.", "counter");
  for (const auto& [path, durations] : durations_)
    out << "wrackline_sent_bytes_total{path=\"" << path << "\"} " << durations.bytes_out << '\n';

  const std::pair<const char*, const char*> gauges[] = {
      {"wrackline_connections_open", "Connections open now."},
      {"wrackline_sessions_open", "Sessions that have not expired."},
      {"wrackline_certificate_seconds_left", "Until the TLS certificate expires; negative once it has."},
      {"wrackline_uptime_seconds", "Since the hub was started."},
  };
  const double values[] = {static_cast<double>(now.connections_open), static_cast<double>(now.sessions_open),
                           now.certificate_seconds_left, now.uptime_seconds};
  for (std::size_t i = 0; i < std::size(gauges); ++i) {
    head(out, gauges[i].first, gauges[i].second, "gauge");
    out << gauges[i].first << ' ' << static_cast<long long>(values[i]) << '\n';
  }
  return out.str();
}

}  // namespace wrackline
