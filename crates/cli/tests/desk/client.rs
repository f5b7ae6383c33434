//! A desk that runs, and a small client of it: requests byte by byte, and the socket.

use std::io::{BufRead as _, BufReader, ErrorKind, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};
use tungstenite::client::IntoClientRequest as _;
use tungstenite::{Message, WebSocket};

/// Nothing takes longer.
const PATIENCE: Duration = Duration::from_secs(30);

/// A desk that runs; it is killed when it is dropped.
pub(crate) struct Running {
    child: Child,
    pub(crate) port: u16,
    pub(crate) code: String,
}

/// An answer.
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }
}

impl Running {
    /// Starts the program for a folder; at port 0 it takes any.
    pub(crate) fn start(program: &Path, folder: &Path, port: u16) -> Running {
        Running::started(Command::new(program), folder, port)
    }

    /// The same with files that can have so many blocks of the shell's `ulimit` at most: writing more fails,
    /// as on a full disk.
    pub(crate) fn start_within(blocks: u32, program: &Path, folder: &Path) -> Running {
        let mut command = Command::new("sh");
        // The signal that would end the program is ignored, so it is told by an error.
        let limited = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        command.args(["-c", &limited]).arg(program);
        Running::started(command, folder, 0)
    }

    fn started(mut command: Command, folder: &Path, port: u16) -> Running {
        command.arg("desk").arg(folder).args(["--no-open", "--port", &port.to_string()]);
        let mut child =
            command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("the program runs");
        let mut said = String::new();
        let mut out = BufReader::new(child.stdout.take().expect("there is an output"));
        out.read_line(&mut said).expect("it says its address");
        let address = said.rsplit(' ').next().unwrap_or_default().trim();
        let (host, code) = address.split_once("/#code=").expect("an address with a code");
        let port = host.rsplit(':').next().and_then(|port| port.parse().ok()).expect("a port");
        Running { child, port, code: code.to_owned() }
    }

    /// Kills it at once: it can save nothing any more.
    pub(crate) fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Ends it as a user does who presses Ctrl+C; nothing but a shell sends that without `unsafe` code.
    pub(crate) fn end(&mut self) {
        let pid = self.child.id().to_string();
        let sent = Command::new("kill").args(["-INT", &pid]).status();
        assert!(sent.is_ok_and(|sent| sent.success()));
        assert!(self.child.wait().is_ok_and(|ended| ended.success()));
    }

    pub(crate) fn origin(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// The token for the code that it showed.
    pub(crate) fn token(&self) -> String {
        let answer = self.post("/api/token", "", &json!({ "code": self.code }));
        answer.json()["token"].as_str().expect("a token").to_owned()
    }

    /// A request as the page sends it.
    pub(crate) fn post(&self, path: &str, token: &str, body: &Value) -> Answer {
        self.send("POST", path, token, &body.to_string())
    }

    pub(crate) fn get(&self, path: &str, token: &str) -> Answer {
        self.send("GET", path, token, "")
    }

    pub(crate) fn send(&self, method: &str, path: &str, token: &str, body: &str) -> Answer {
        let (port, origin) = (self.port, self.origin());
        self.raw(&format!(
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nOrigin: {origin}\r\n\
             Authorization: Bearer {token}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\n\r\n{body}",
            body.len()
        ))
    }

    /// A request byte by byte; the connection is closed after it.
    pub(crate) fn raw(&self, request: &str) -> Answer {
        let request = request.replacen("\r\n", "\r\nConnection: close\r\n", 1);
        let mut stream = self.connect();
        // A server that refuses may close before all is sent.
        let _ = stream.write_all(request.as_bytes());
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or(answer.len());
        let head = String::from_utf8_lossy(&answer[..end]).to_lowercase();
        let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
        let body = answer.get(end + 4..).unwrap_or_default().to_vec();
        Answer { status, head, body }
    }

    fn connect(&self) -> TcpStream {
        let address = SocketAddr::from(([127, 0, 0, 1], self.port));
        let stream = TcpStream::connect_timeout(&address, PATIENCE).expect("it listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("a limit");
        stream
    }

    /// The socket of a window; an error where it is refused, or the desk is gone.
    pub(crate) fn socket(&self, token: &str) -> Option<Window> {
        let address = SocketAddr::from(([127, 0, 0, 1], self.port));
        let stream = TcpStream::connect_timeout(&address, PATIENCE).ok()?;
        stream.set_read_timeout(Some(PATIENCE)).ok()?;
        let mut request =
            format!("ws://127.0.0.1:{}/socket", self.port).into_client_request().ok()?;
        let headers = request.headers_mut();
        headers.insert("origin", self.origin().parse().ok()?);
        headers.insert("sec-websocket-protocol", format!("cartella, token.{token}").parse().ok()?);
        let (socket, _) = tungstenite::client(request, stream).ok()?;
        Some(Window(socket))
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill();
    }
}

/// The socket of a window.
pub(crate) struct Window(WebSocket<TcpStream>);

impl Window {
    /// Whether it could be sent.
    pub(crate) fn ask(&mut self, asked: &Value) -> bool {
        self.0.send(Message::text(asked.to_string())).is_ok()
    }

    /// What is told next; nothing where the desk is gone.
    pub(crate) fn told(&mut self) -> Option<Value> {
        loop {
            if let Message::Text(text) = self.0.read().ok()? {
                return serde_json::from_str(&text).ok();
            }
        }
    }

    /// Waits so long for what is told.
    pub(crate) fn wait_at_most(&mut self, patience: Duration) {
        self.0.get_ref().set_read_timeout(Some(patience)).expect("a limit");
    }

    /// What is told, if it comes in time; an error where the desk is gone.
    pub(crate) fn try_told(&mut self) -> Result<Option<Value>, ()> {
        match self.0.read() {
            Ok(Message::Text(text)) => Ok(serde_json::from_str(&text).ok()),
            Ok(_) => Ok(None),
            Err(tungstenite::Error::Io(error))
                if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) =>
            {
                Ok(None)
            }
            Err(_) => Err(()),
        }
    }

    /// The next that is told of a kind.
    pub(crate) fn next(&mut self, kind: &str) -> Value {
        loop {
            let told = self.told().unwrap_or_else(|| panic!("{kind} is told"));
            if told["kind"] == kind {
                return told;
            }
        }
    }

    /// Opens a piece, and gives what is told of it.
    pub(crate) fn open(&mut self, path: &str, window: &str) -> Value {
        self.ask(&json!({ "kind": "open", "path": path, "example": null, "window": window }));
        self.next("opened")
    }

    /// Opens a file, and types a text over it, as the first; gives the hash of the file.
    pub(crate) fn open_and_type(&mut self, path: &str, text: &str) -> String {
        let base = self.open(path, "one")["hash"].as_str().unwrap().to_owned();
        self.text(path, 0, &base, text);
        base
    }

    /// Sends a text.
    pub(crate) fn text(&mut self, path: &str, revision: u64, base: &str, text: &str) -> bool {
        self.ask(&json!({
            "kind": "text", "path": path, "revision": revision, "base": base, "text": text,
            "cursor": text.len(), "width": 180.0, "have": [],
        }))
    }
}
