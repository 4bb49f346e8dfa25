#include "running_postgres.h"

#include <arpa/inet.h>
#include <sys/socket.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <thread>

namespace wrackline {
namespace {

namespace fs = std::filesystem;
constexpr const char* kUser = "postgres";  // It refuses to run as root.

std::string find_programs() {
  std::string newest;
  std::error_code none;
  for (const auto& entry : fs::directory_iterator("/usr/lib/postgresql", none)) {
    const std::string bin = entry.path().string() + "/bin";
    if (fs::exists(bin + "/initdb") && bin > newest) newest = bin;
  }
  return newest;
}

std::uint16_t free_port() {
  const int door = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  REQUIRE(::bind(door, reinterpret_cast<sockaddr*>(&address), size) == 0);
  REQUIRE(::getsockname(door, reinterpret_cast<sockaddr*>(&address), &size) == 0);
  ::close(door);
  return ntohs(address.sin_port);
}

}  // namespace

RunningPostgres::RunningPostgres() : programs_(find_programs()), data_(scratch_ / "data"), port_(free_port()) {
  if (programs_.empty()) FAIL("there is no PostgreSQL server here; tests/install scale brings it");
  const std::string log = scratch_ / "making.log";
  std::ofstream(log).close();
  fs::permissions(log, fs::perms::all);
  const std::string folder = fs::path(data_).parent_path().string();
  fs::permissions(folder, fs::perms::all);
  INFO(folder);
  REQUIRE(run_child({programs_ + "/initdb", "-D", data_, "-A", "trust", "--no-sync", "-U", kUser, "-E", "UTF8", "--locale=C"}, log, kUser) == 0);
  REQUIRE(run_child({"openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2", "-subj", "/CN=127.0.0.1",
                     "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", data_ + "/server.key", "-out", data_ + "/server.crt"},
                    log, kUser) == 0);
  configure("listen_addresses = '127.0.0.1'");
  configure("unix_socket_directories = ''");
  configure("ssl = on");
  configure("ssl_min_protocol_version = 'TLSv1.3'");
  configure("max_connections = 50");
  configure("shared_buffers = 64MB");
  start();
  REQUIRE(sql("SELECT 1") == "1");
}

void RunningPostgres::configure(const std::string& line) { std::ofstream(data_ + "/postgresql.conf", std::ios::app) << line << "\n"; }

void RunningPostgres::start() {
  // Processes that a killed server has left end when they notice; until then another cannot begin.
  for (int tries = 0; tries < 600; ++tries) {
    if (!server_.is_running()) server_ = Child({programs_ + "/postgres", "-D", data_, "-p", std::to_string(port_)}, scratch_ / "server.log", kUser);
    if (run_child({programs_ + "/pg_isready", "-q", "-h", "127.0.0.1", "-p", std::to_string(port_)}, "/dev/null") == 0) return;
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  FAIL("PostgreSQL does not start: " << content_of(scratch_ / "server.log"));
}

void RunningPostgres::kill() {
  server_.kill(SIGKILL);
  server_.wait();
}

std::string RunningPostgres::sql(const std::string& text) const {
  const std::string out = scratch_ / "sql.out";
  fs::remove(out);
  const int status = run_child({programs_ + "/psql", "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-c", text, plain_address() + "?sslmode=disable"}, out);
  std::string said = content_of(out);
  said.erase(said.find_last_not_of(" \n") + 1);
  if (status != 0) FAIL("psql: " << said);
  return said;
}

std::string RunningPostgres::plain_address() const {
  return "postgresql://" + std::string(kUser) + "@127.0.0.1:" + std::to_string(port_) + "/postgres";
}
std::string RunningPostgres::address() const { return plain_address() + "?sslrootcert=" + data_ + "/server.crt"; }
std::string RunningPostgres::address_without_tls() const { return plain_address() + "?sslmode=disable"; }

}  // namespace wrackline
