registerProcessor("capture",class extends AudioWorkletProcessor{process(e){let r=e[0]?.[0];return r&&this.port.postMessage(r.slice()),!0}});
